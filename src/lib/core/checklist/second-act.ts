/** One step is one act: what an instruction says beyond its first one. */

/** Verbs that instructions of the trade begin with. */
const ACTS = new Set(
  (
    'ask bag bolt break bring call cancel check clamp clean clear clip close come compare count cover cut ' +
    'disconnect drain draw enter find fit follow hang hold insert label lay leave lift listen lock look loosen ' +
    'lower mark measure move note open photograph pick pin pocket press probe prop prove pull push put raise ' +
    'read release remove replace restore rinse run say screw seat see shake show shut sign slide smell start ' +
    'stop strap switch take tell test tie tighten tilt touch try tug turn unlock unplug unscrew wait walk wash ' +
    'watch wear wipe write'
  ).split(' '),
);

/** What follows a verb, but no noun of the same spelling ("lock and switch to the board"). */
const OBJECT =
  /^(?:$|\s+(?:the|an?|it|its|them|your|each|every|any|for|at|in|on|off|out|up|down|back|if|whether|until)\b)/u;

/** The same verbs as Spanish commands, without accents. */
const ACTOS = new Set(
  (
    'abra accione afloje anote apague apoye apriete avise baje bombee busque cargue cierre coloque compare ' +
    'compruebe conecte corte cubra cuelgue cuente descargue desconecte desenganche deslice detenga diga ' +
    'empuje enchufe enganche escriba escuche espere firme fotografie gire guarde haga inicie inserte lave lea ' +
    'levante limpie llame llene marque meta mida mire mueva observe oprima pase ponga pregunte presione pruebe ' +
    'quite recoja reponga retire reuna revise saque seque separe siga sujete suelte tire tome toque una vacie verifique'
  ).split(' '),
);
const UNACCENTED: Readonly<Record<string, string>> = { á: 'a', é: 'e', í: 'i', ó: 'o', ú: 'u' };

/** "márquelo" is "marque": accents and the pronouns that hang on a command are taken off. */
function isSpanishAct(word: string): boolean {
  const bare = word.toLowerCase().replace(/[áéíóú]/gu, (letter) => UNACCENTED[letter] ?? letter);
  // "una" is far more often the article than the command to join.
  if (bare === 'una') return false;
  return ACTOS.has(bare) || ACTOS.has(bare.replace(/(?:se)?(?:l[aeo]s?|se)$/u, ''));
}

const JOINED = {
  en: /(?:,? and(?: then)?|, then)\s+([a-z]+)\b/gu,
  es: /(?:,? y(?: luego| después)?|, luego|, después)\s+(\p{L}+)/gu,
};

/** The second act of an instruction, or null; languages other than English and Spanish are left alone. */
export function secondAct(say: string, language: string): string | null {
  const spoken = language.split('-')[0];
  if (spoken !== 'en' && spoken !== 'es') return null;
  const sentence = /[.!?;]\s+(\S.*)$/u.exec(say)?.[1];
  if (sentence !== undefined) return sentence.replace(/[.!?]$/u, '');
  for (const match of say.matchAll(JOINED[spoken])) {
    const [whole, verb = ''] = match;
    const after = say.slice(match.index + whole.length).replace(/[.!?]$/u, '');
    const acts = spoken === 'es' ? isSpanishAct(verb) : ACTS.has(verb) && OBJECT.test(after);
    if (acts) return `${verb}${after}`;
  }
  return null;
}
