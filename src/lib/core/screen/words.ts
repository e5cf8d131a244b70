/** The words of the second looks: a question, what else may explain it, what to do. Figures in braces. */
import type { Finding, Rule } from './finding.ts';

export type Language = 'en' | 'es';

interface Words {
  readonly asks: string;
  readonly innocent: string;
  readonly next: string;
}

export const WORDS: Readonly<Record<Language, Readonly<Record<Rule, Words>>>> = {
  en: {
    D1: {
      asks: '{count} acts of the hand were confirmed in a row, each at most {longest} s after the last (asked from {threshold}). How were they done?',
      innocent: 'Confirmed together after work that took both hands; up to three is usual.',
      next: 'Look at the photos of these steps.',
    },
    D2: {
      asks: '{quick} steps that a life rests on were confirmed sooner than their least honest time (first: {first}); the job took {share} % of the summed least times (asked below {threshold} %). What came before the confirmation?',
      innocent:
        'The act was done earlier and confirmed later; the least time in the checklist is too long.',
      next: 'Offer late entries; look at the time in the checklist.',
    },
    D3: {
      asks: 'The {gaps} gaps between acts are unusually alike: their variation is {variation} (asked below {threshold}). How was the day?',
      innocent: 'A short, practised job with nothing unexpected.',
      next: 'Put one of the next jobs into the sample.',
    },
    D5: {
      asks: 'A photo is also in job {other} ({bits} of 64 bits differ). Which of the two jobs does it show?',
      innocent:
        'Wiring of the same model looks alike; zero bits and the same file do not come about by chance.',
      next: 'Lay both photos side by side; look for the serial plate.',
    },
    D7: {
      asks: '{same} of {of} readings are the same, to the last digit, as in job {other}. Were both measured?',
      innocent:
        'Chance: six of nine come about in a file of some hundred jobs; a meter with coarse steps.',
      next: 'Compare photos and parts of both jobs.',
    },
    D8: {
      asks: 'The last digits of {readings} readings are uneven (0 to 9: {counts}; χ² {chi2}, by chance {p}). How does the meter show its last digit?',
      innocent: 'A meter with coarse steps, or values rounded when they were typed.',
      next: 'Ask which meter; never judge a single job by this.',
    },
    D9: {
      asks: '{readings} readings lie closer together than those of the others on the same steps (ratio {ratio}). Are the machines alike?',
      innocent: 'A steady fleet of one model.',
      next: 'Measure one in twenty again without showing the first value.',
    },
    D10: {
      asks: '{jobs} jobs without one refused try, gap or lapse. Is there anything that does not get written down?',
      innocent: 'Truly simple work.',
      next: 'Talk; nothing else.',
    },
    D11: {
      asks: 'The wall clock went back {seconds} s against the running clock. Who set it?',
      innocent: 'The device set its time by itself.',
      next: 'Read this span by the running clock; both are kept.',
    },
    D12: {
      asks: 'The wall clock ran {seconds} s ahead of the running clock. Did the device sleep?',
      innocent: 'On several devices the running clock stands still in sleep.',
      next: 'Nothing; only to know.',
    },
    D13: {
      asks: '{count} steps were entered after power came back and told as done before it. From what were they entered?',
      innocent: 'Both hands full, a flat battery, a carry sheet.',
      next: 'See that they are marked as late entries; ask for the sheet.',
    },
    D14: {
      asks: '{count} steps are told as done before something that they rest on. Did our gate fail?',
      innocent: 'A fault of this program; a slip in the time typed.',
      next: 'Report it to whoever keeps this program.',
    },
    D15: {
      asks: '{count} proofs of dead lack the check of the meter before or after. Was the meter seen alive?',
      innocent: 'A fault of this program.',
      next: 'Count the proof as not given.',
    },
    D16: {
      asks: 'Acts of one person lie on two jobs, there and back within {seconds} s. Who held which device?',
      innocent: 'A shared device; two jobs on one site.',
      next: 'Give each person a key of their own.',
    },
    D17: {
      asks: 'Lock {lock} is on two points at once. Which of them does it hold?',
      innocent: 'A slip in the number.',
      next: 'Count keys and locks.',
    },
    D18: {
      asks: 'In {jobs} jobs on lists that have a step for it, no connector was taken off. Is this design different?',
      innocent: 'A model without connectors at that place.',
      next: 'Look at one photo; mend the checklist.',
    },
    D20: {
      asks: '{share} % of the {entries} entries of {day} were made within a quarter of an hour, over several jobs. When was the work done?',
      innocent: 'A device that was left in the van; entered from notes.',
      next: 'Offer late entries.',
    },
    D21: {
      asks: '{share} % of {facts} safety facts of thirty days were entered late. What makes entering at once hard?',
      innocent: 'Gloves, a flat battery, our screens.',
      next: 'Mend our screens first.',
    },
    D22: {
      asks: 'Of {what}, {rate} for each of {jobs} jobs is far from what others have (modified z {z}). What is different there?',
      innocent: 'Harder machines, another territory.',
      next: 'Talk.',
    },
  },
  es: {
    D1: {
      asks: 'Se confirmaron {count} actos de la mano seguidos, cada uno como mucho {longest} s tras el anterior (se pregunta desde {threshold}). ¿Cómo se hicieron?',
      innocent: 'Confirmados juntos tras un trabajo a dos manos; hasta tres es normal.',
      next: 'Mire las fotos de estos pasos.',
    },
    D2: {
      asks: '{quick} pasos de los que depende una vida se confirmaron antes de su tiempo mínimo honrado (primero: {first}); el trabajo duró el {share} % de la suma de los mínimos (se pregunta por debajo del {threshold} %). ¿Qué pasó antes de confirmar?',
      innocent:
        'El acto se hizo antes y se confirmó después; el mínimo de la lista es demasiado largo.',
      next: 'Ofrezca anotar más tarde; revise el tiempo en la lista.',
    },
    D3: {
      asks: 'Los {gaps} intervalos entre actos se parecen más de lo normal: su variación es {variation} (se pregunta por debajo de {threshold}). ¿Cómo fue el día?',
      innocent: 'Un trabajo corto, conocido y sin sorpresas.',
      next: 'Ponga uno de los próximos trabajos en la muestra.',
    },
    D5: {
      asks: 'Una foto está también en el trabajo {other} (difieren {bits} de 64 bits). ¿Cuál de los dos muestra?',
      innocent:
        'El cableado del mismo modelo se parece; cero bits y el mismo archivo no salen por azar.',
      next: 'Ponga las dos fotos juntas; busque la placa de serie.',
    },
    D7: {
      asks: '{same} de {of} lecturas son iguales, hasta la última cifra, a las del trabajo {other}. ¿Se midieron las dos veces?',
      innocent:
        'Azar: seis de nueve salen entre unos cientos de trabajos; un medidor de pasos gruesos.',
      next: 'Compare fotos y piezas de ambos.',
    },
    D8: {
      asks: 'Las últimas cifras de {readings} lecturas son desiguales (0 a 9: {counts}; χ² {chi2}, por azar {p}). ¿Cómo muestra el medidor su última cifra?',
      innocent: 'Un medidor de pasos gruesos, o valores redondeados al teclear.',
      next: 'Pregunte qué medidor; nunca juzgue un solo trabajo por esto.',
    },
    D9: {
      asks: '{readings} lecturas están más juntas que las de los demás en los mismos pasos (razón {ratio}). ¿Son iguales las máquinas?',
      innocent: 'Un parque estable de un solo modelo.',
      next: 'Mida de nuevo una de cada veinte sin mostrar el primer valor.',
    },
    D10: {
      asks: '{jobs} trabajos sin un intento rechazado, hueco ni caducidad. ¿Hay algo que no se anota?',
      innocent: 'Trabajo sencillo de verdad.',
      next: 'Conversar; nada más.',
    },
    D11: {
      asks: 'El reloj de pared retrocedió {seconds} s frente al reloj continuo. ¿Quién lo puso?',
      innocent: 'El dispositivo ajustó solo su hora.',
      next: 'Lea este tramo por el reloj continuo; se guardan los dos.',
    },
    D12: {
      asks: 'El reloj de pared se adelantó {seconds} s al reloj continuo. ¿Durmió el dispositivo?',
      innocent: 'En varios dispositivos el reloj continuo se para al dormir.',
      next: 'Nada; solo para saberlo.',
    },
    D13: {
      asks: '{count} pasos se anotaron tras volver la corriente y se dicen hechos antes. ¿De dónde se anotaron?',
      innocent: 'Manos ocupadas, batería agotada, una hoja en papel.',
      next: 'Compruebe que están marcados como tardíos; pida la hoja.',
    },
    D14: {
      asks: '{count} pasos se dicen hechos antes de algo en que se apoyan. ¿Falló nuestra barrera?',
      innocent: 'Un fallo de este programa; un error al teclear la hora.',
      next: 'Comuníquelo a quien mantiene este programa.',
    },
    D15: {
      asks: 'A {count} pruebas de ausencia de tensión les falta la comprobación del medidor antes o después. ¿Se vio vivo el medidor?',
      innocent: 'Un fallo de este programa.',
      next: 'Cuente la prueba como no dada.',
    },
    D16: {
      asks: 'Actos de una persona están en dos trabajos, ida y vuelta en {seconds} s. ¿Quién tenía cada dispositivo?',
      innocent: 'Un dispositivo compartido; dos trabajos en un lugar.',
      next: 'Dé a cada persona su propia clave.',
    },
    D17: {
      asks: 'El candado {lock} está en dos puntos a la vez. ¿Cuál sujeta?',
      innocent: 'Un error en el número.',
      next: 'Cuente llaves y candados.',
    },
    D18: {
      asks: 'En {jobs} trabajos con listas que tienen ese paso no se quitó ningún conector. ¿Es otro diseño?',
      innocent: 'Un modelo sin conectores en ese sitio.',
      next: 'Mire una foto; corrija la lista.',
    },
    D20: {
      asks: 'El {share} % de las {entries} anotaciones del {day} se hizo en un cuarto de hora, en varios trabajos. ¿Cuándo se hizo el trabajo?',
      innocent: 'Un dispositivo que quedó en la furgoneta; anotado de apuntes.',
      next: 'Ofrezca anotar más tarde.',
    },
    D21: {
      asks: 'El {share} % de {facts} hechos de seguridad de treinta días se anotó tarde. ¿Qué impide anotar al momento?',
      innocent: 'Guantes, batería agotada, nuestras pantallas.',
      next: 'Arregle primero nuestras pantallas.',
    },
    D22: {
      asks: 'De {what}, {rate} por cada uno de {jobs} trabajos está lejos de lo de los demás (z modificada {z}). ¿Qué es distinto allí?',
      innocent: 'Máquinas más difíciles, otra zona.',
      next: 'Conversar.',
    },
  },
};

const WHAT: Readonly<Record<Language, Readonly<Record<string, string>>>> = {
  en: { refusals: 'refused tries', gaps: 'steps not done', lapses: 'lapses' },
  es: { refusals: 'intentos rechazados', gaps: 'pasos no hechos', lapses: 'caducidades' },
};

export function wordsOf(
  { rule, figures }: Pick<Finding, 'rule' | 'figures'>,
  language: Language,
): Words {
  const { asks, ...rest } = WORDS[language][rule];
  const filled = asks.replaceAll(/\{(\w+)\}/g, (whole, name: string) => {
    const value = figures[name];
    if (value === undefined) return whole;
    return name === 'what' ? (WHAT[language][value] ?? String(value)) : String(value);
  });
  return { asks: filled, ...rest };
}
