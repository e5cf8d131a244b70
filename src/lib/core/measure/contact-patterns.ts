/**
 * What each pattern of a switch means: complete tables for 2, 3 and 4 terminals. Written as
 * rest/pressed with C closed and O open.
 *
 * Three terminals: COM–NC then COM–NO. Four terminals: pair A (normally closed) then pair B (normally
 * open). The tables follow from how the contacts move; the acts are common practice, no source.
 */
export interface ContactMeaning {
  /** Stable code for translations and for diagnosis. */
  readonly code: string;
  readonly name: string;
  readonly says: string;
  readonly next: string;
  readonly healthy: boolean;
}

type Rows = Readonly<Record<string, ContactMeaning>>;

function row(code: string, name: string, says: string, next: string): ContactMeaning {
  return { code, name, says, next, healthy: code === 'healthy' };
}

const worksNext = 'Operate it ten times and read again, moving the wires lightly.';
const reversedNext =
  'Check the marks on the terminals and which state you call pressed before you replace anything.';
const identifyNext = 'Identify the terminals first with the terminal finder, then read again.';

/** Two terminals of a part that should be normally open. */
export const normallyOpen: Rows = {
  'O/C': row('healthy', 'healthy', 'It is open at rest and closes when pressed.', worksNext),
  'C/O': row(
    'reversed',
    'reversed sense',
    'It is closed at rest and opens when pressed: a normally closed part, or one held pressed at rest.',
    'See whether the door or lever already holds it pressed, and compare the part number.',
  ),
  'C/C': row(
    'welded',
    'welded or held pressed',
    'It stays closed in both states: welded, stuck in the pressed position, or read through the wires.',
    'Make sure that its wires are off and the actuator springs back; if it still reads closed, replace it.',
  ),
  'O/O': row(
    'never-closes',
    'never closes',
    'It stays open in both states: the contact is open, the actuator does not reach it, or a lead is broken.',
    'Short the meter leads to check them, listen for the click, press fully; if it stays open, replace it.',
  ),
};

/** Two terminals of a part that should be normally closed. */
export const normallyClosed: Rows = {
  'C/O': row('healthy', 'healthy', 'It is closed at rest and opens when pressed.', worksNext),
  'O/C': row(
    'reversed',
    'reversed sense',
    'It is open at rest and closes when pressed: a normally open part, or one held pressed at rest.',
    'See whether the plunger is in at rest, and compare the part number.',
  ),
  'C/C': row(
    'welded',
    'welded or not actuated',
    'It stays closed in both states: welded, or the actuator does not move it.',
    'Listen for the click and press fully with its wires off; if it still reads closed, replace it.',
  ),
  'O/O': row(
    'burnt-open',
    'contact burnt open',
    'It stays open in both states: the contact is burnt away or broken.',
    'Short the meter leads to check them; if they are good, replace it.',
  ),
};

/** Two terminals when nobody knows which kind the part is. */
export const eitherKind: Rows = {
  'O/C': row('healthy', 'healthy', 'It changes over as a normally open contact does.', worksNext),
  'C/O': row('healthy', 'healthy', 'It changes over as a normally closed contact does.', worksNext),
  'C/C': { ...normallyOpen['C/C']!, name: 'welded or not actuated' },
  'O/O': normallyOpen['O/O']!,
};

/** Change-over switch: COM–NC, COM–NO at rest, then pressed. */
export const changeOver: Rows = {
  'CO/OC': row('healthy', 'healthy', 'The blade changes over from NC to NO.', worksNext),
  'CO/CO': row(
    'blade-still',
    'blade did not move',
    'It reads the same at rest and pressed: the blade stays on NC.',
    'Listen for the click. With a click the NC contact is welded: replace. Without one, look at the lever and plunger, and press fully.',
  ),
  'OC/OC': row(
    'blade-on-no',
    'blade stays on NO',
    'It reads pressed in both states: jammed in, held by a shut door, or welded to NO.',
    'Free the actuator and read again at rest; if it still sits on NO, replace it.',
  ),
  'OC/CO': row(
    'reversed',
    'reversed',
    'It changes over, the other way round: labels or leads are swapped, or rest and pressed are. The switch has not failed.',
    reversedNext,
  ),
  'CO/OO': row(
    'no-open',
    'NO contact open',
    'The blade leaves NC but makes no contact on NO.',
    'Replace it.',
  ),
  'OO/OC': row(
    'nc-open',
    'NC contact open',
    'NO works; at rest there is no contact on NC.',
    'Replace it.',
  ),
  'OO/OO': row(
    'common-open',
    'common open',
    'Nothing closes in either state: the common is broken, or the meter does not read.',
    'Short the meter leads to check them; if they are good, replace it.',
  ),
  'CO/CC': row(
    'nc-holds',
    'NC does not let go',
    'NO makes while NC stays closed: a welded bridge, a make-before-break part, or a second path.',
    'Make sure that its wires are off and read the type; if it should break first, replace it.',
  ),
  'CC/OC': row(
    'no-holds',
    'NO closed at rest',
    'NC lets go as it should, but NO is closed all the time: welded, or a carbon track.',
    'Make sure that its wires are off and read again; if NO stays closed, replace it.',
  ),
  'CC/CC': row(
    'all-joined',
    'everything joined',
    'All terminals are joined in both states: the wires are still on, or the body has burnt to carbon.',
    'Take the wires off and read again; if it stays, replace it.',
  ),
  'OC/OO': row(
    'reversed-nc-dead',
    'reversed and one contact dead',
    'What should be NO is closed at rest, and nothing is closed when pressed.',
    identifyNext,
  ),
  'OO/CO': row(
    'reversed-no-dead',
    'reversed and one contact dead',
    'What should be NC closes when pressed, and nothing is closed at rest.',
    identifyNext,
  ),
  'OC/CC': row(
    'reversed-no-welded',
    'reversed with a weld',
    'What should be NC closes when pressed, and what should be NO never opens.',
    identifyNext,
  ),
  'CC/CO': row(
    'contradictory',
    'contradictory',
    'Both are closed at rest and only NO opens when pressed: no single fault does this.',
    'Take it as a slip of the probes: read all four again.',
  ),
  'CC/OO': row(
    'both-break',
    'both break',
    'Both are closed at rest and both open when pressed: two normally closed contacts, or the wrong terminals.',
    identifyNext,
  ),
  'OO/CC': row(
    'both-make',
    'both make',
    'Both are open at rest and both close when pressed: two normally open contacts, or the wrong terminals.',
    identifyNext,
  ),
};

const twoWrong = (says: string) =>
  row('two-wrong', 'two things wrong', says, `${identifyNext} If the pairs are right, replace it.`);

/** Pair A (NC), pair B (NO) at rest, then pressed. */
export const twoPairs: Rows = {
  'CO/OC': row('healthy', 'healthy', 'Pair A opens and pair B closes when pressed.', worksNext),
  'CO/CO': row(
    'not-moving',
    'actuator not moving',
    'Neither pair changes. Two separate contacts seldom fail at once: suspect the mechanism first.',
    'Look at the lever and the plunger, listen for the click, press fully, then read again.',
  ),
  'CO/CC': row(
    'a-welded',
    'pair A welded',
    'Pair B works; pair A never opens.',
    'Make sure that its wires are off; if A stays closed, replace it.',
  ),
  'CO/OO': row('b-open', 'pair B open', 'Pair A works; pair B never closes.', 'Replace it.'),
  'OO/OC': row('a-open', 'pair A open', 'Pair B works; pair A never closes.', 'Replace it.'),
  'CC/OC': row(
    'b-welded',
    'pair B welded',
    'Pair A works; pair B never opens.',
    'Make sure that its wires are off; if B stays closed, replace it.',
  ),
  'CC/CC': row(
    'all-joined',
    'both always closed',
    'Both pairs are closed in both states: the wires are on, or these are not the pairs.',
    `Take the wires off and read again. ${identifyNext}`,
  ),
  'OO/OO': row(
    'never-closes',
    'both always open',
    'Neither pair closes in either state: these are not the pairs, or the meter does not read.',
    `Short the meter leads to check them. ${identifyNext}`,
  ),
  'OC/CO': row(
    'reversed',
    'pairs swapped',
    'Both pairs change, the other way round: A and B are swapped, or rest and pressed are. The switch has not failed.',
    reversedNext,
  ),
  'OC/OC': row(
    'held-pressed',
    'held pressed',
    'It reads pressed in both states.',
    'Free the actuator and read again at rest.',
  ),
  'CC/CO': twoWrong('Pair A never opens, and pair B opens when it should close.'),
  'OC/CC': twoWrong('Pair B never opens, and pair A closes when it should open.'),
  'OC/OO': twoWrong('Pair A never closes, and pair B opens when it should close.'),
  'OO/CO': twoWrong('Pair B never closes, and pair A closes when it should open.'),
  'CC/OO': twoWrong('Both pairs open when pressed: two normally closed pairs, or wrong pairs.'),
  'OO/CC': twoWrong('Both pairs close when pressed: two normally open pairs, or wrong pairs.'),
};
