/**
 * The sentences of refusals, by key, with named places in braces.
 *
 * Each says what is missing and what opens it. A translation is the same table in another language;
 * the key and the arguments travel with every refusal, so that a screen may say it in the reader's words
 * while the record keeps these.
 */
export const WORDS = {
  notOpened: 'The job is not open yet: open it with a site and at least one person.',
  alreadyOpen: 'The job is open already.',
  ended: 'The job has ended; only an amendment can be added.',
  toolsDown: 'Tools are down: say that work starts again before the next step.',
  parked: 'The job is parked: resume it first.',
  notParked: 'The job is neither parked nor stopped, so there is nothing to resume.',
  notHere: '{person} is not on this job: join first.',
  alreadyHere: '{person} is on this job already.',
  unknownStep: 'There is no step “{step}” in this checklist.',
  unknownSource: 'There is no source “{source}” in this checklist.',
  unknownInstrument:
    'There is no instrument “{instrument}” on this job; name one that was listed when it was opened.',
  order: '“{step}” comes first.',
  alreadyDone: '“{step}” is done and still holds; correct it first if it was a slip.',
  alreadyMine: '{person} has done this already; it wants a second person.',
  notApplicable: '“{step}” does not apply here: {why}.',
  need: 'It needs “{step}” to hold: do it again.',
  needFailed: '“{step}” did not pass; what depends on it stays closed until it does.',
  supplyUnknown: 'The supply has not been measured: do “{step}” first.',
  supplyBad: 'The supply reading “{step}” is out of limits: no further on this supply.',
  caseUnknown:
    'Nobody has tested the case of “{source}” for voltage since it could have become live.',
  caseLive:
    'The case read live at “{source}”: hands off. Have the supply made dead at the panel and call a licensed electrician.',
  pointClosed: '“{point}” is not cut.',
  pointUnknown: '“{point}” may have been switched on again: treat it as live and cut it again.',
  notProven: '“{source}” has not been proved dead.',
  proofStale: 'The proof that “{source}” is dead has lapsed ({ended}): prove it again.',
  ownLock: '{person} has no lock of their own on “{point}”.',
  lockUnsure:
    'The lock of {person} on “{point}” has to be seen again: its source came back in between.',
  noHolder: 'Nobody keeps “{point}” in sight.',
  plugShared:
    'More than one person is here and “{point}” is held by sight alone: it needs a lock of each.',
  stored: '“{source}” still holds energy: release it first.',
  storedStale: '“{source}” was released, but that has lapsed: release it again.',
  residual: 'The residual of “{source}” is {value} {unit}; it has to be below {below}.',
  propUnsure: '“{end}” has to be seated and shaken again: the machine was moved.',
  wait: '“{source}” needs {seconds} s more on the running clock before its residual counts.',
  waitNotStarted: 'The wait for “{source}” starts when every point that feeds it is cut.',
  mustWear: '{person} must be wearing: {items}.',
  mustNotWear: '{person} must not be wearing: {items}.',
  brief: 'Somebody joined, or time has passed: brief everybody again (“{step}”).',
  fewPeople: 'This step wants at least {least} people here; there are {here}.',
  competence: '{person} is not authorized for: {missing}.',
  sourcesUncounted: 'Count the sources on the machine itself before anything is proved dead.',
  sourcesMore:
    '{counted} sources were counted and this checklist knows {known}: find out what the other one is, or refuse the job.',
  controlNotIsolator:
    '“{operated}” is a control, not an isolating device: cut “{point}” itself ({by}).',
  operatedOther: '“{operated}” was operated; this step is about “{point}” ({by}).',
  findFirst: 'Find the breaker by its load first (“{step}”).',
  lockNumber: 'Give the number of the lock.',
  lockUsed: 'Lock {lock} is already on “{point}”: one lock cannot be in two places.',
  tagNotEnough:
    '“{lock}” is no lock. Put on a lock, or a tag and one further measure that equals it.',
  noLockHere:
    '{person} has no lock on “{point}”. A lock comes off by the hand of the person who put it on.',
  locksLeft: 'Lock {lock} of {owner} is still on “{point}”.',
  clearStale: 'Everybody has to say clear again (“{step}”) before power may come back.',
  rollCallMissing: '{person} has not said clear.',
  rollCallStranger: '{person} is in the roll call but not on this job.',
  openConnector: 'Connector {connector} ({label} at {terminal}) is still off: reseat it.',
  openEnd: '“{end}” is still open: close it.',
  noConnector:
    'There is no connector “{connector}” recorded as taken off; only what was recorded can be reseated.',
  connectorClosed: 'Connector {connector} is reseated already.',
  connectorKnown: 'Connector {connector} is on the list already and still off.',
  nothingOff:
    'Take the part’s connectors off first (“{step}”): a reading in circuit cannot close a diagnosis.',
  endOpen: '“{end}” is open already.',
  endClosed: '“{end}” is not open.',
  restoreOrder: 'Restore in the reverse of the order of isolation: “{point}” comes first.',
  restoreCut: '“{point}” is not cut, so there is nothing to restore.',
  isolateAgain: '“{point}” is cut already.',
  windowOpen:
    'A live window is open: only its readings may be taken; close it and prove dead again.',
  windowNot: 'No live window is open.',
  windowBarred: 'This checklist has no live window for “{source}”: measuring live is barred here.',
  windowWet: 'A live window where it is wet is barred.',
  windowReadBack: 'Name the circuit and have it read back before power comes on.',
  windowReason: 'Say why it has to be measured live.',
  windowOnly: '“{step}” may only be taken inside its live window (“{window}”).',
  windowOver: 'The live window is over its time: close it.',
  deadForReading:
    'This reading needs “{source}” proved dead: a meter on ohms is no toy on a live circuit.',
  instrumentMissing: 'Name the instrument the value was read with.',
  instrumentDue: 'Instrument {instrument} was due for calibration on {due}.',
  instrumentFit: '{says}',
  instrumentDoubted:
    'Instrument {instrument} is in doubt since its last good check: check it on a known source first.',
  meterBefore: 'Check the meter on a known source before the reading.',
  meterAfter: 'Check the meter on a known source again after the readings.',
  meterCheck:
    'The meter showed {shown} {unit} where {expected} {unit} is known: it is benched, and what it read since its last good check does not count.',
  pairMissing: 'Pair {pair} was not measured.',
  pairLive: 'Pair {pair} reads {value} {unit}; dead is below {below}.',
  caseReads:
    '{pair} reads {value} {unit}; below {pass} passes, {stop} and above stops the job, between is to be explained by an electrician.',
  valueMissing: 'Give a value with its unit.',
  valueBad: '{says}',
  contactsBad: '{says}',
  optionUnknown: '“{option}” is not one of: {options}.',
  countBad: 'Give how many sources were counted: a whole number, at least 1.',
  connectorsMissing: 'Name each connector with an id, a label and its terminal.',
  notOptional:
    '“{step}” cannot be left out. If it cannot be done, park the job, refuse it, or put tools down.',
  whyMissing: 'Say why, in a few words.',
  correctNothing: '“{step}” has not been done, so there is nothing to correct.',
  correctPhase:
    '“{step}” belongs to an earlier phase. State what ended it (a lapse), or amend the record at the end.',
  correctOne: '“{step}” was corrected and is not done again yet: one correction at a time.',
  correctOpen:
    'What was taken off or opened is put right by closing it again, not by a correction.',
  correctAfter:
    '“{later}” was done since, and stands on “{step}”. Amend the record at the end instead.',
  correctClear: 'A roll call is put right by calling it again.',
  correctLock: 'A lock is put right by its owner taking it off or putting it on.',
  secondPerson: 'A second person has to confirm “{step}”.',
  leaveLast: 'The last person does not simply leave: park the job, refuse it, or close it.',
  leaveLocks: 'Take your own lock {lock} off “{point}” first.',
  leaveWindow: 'Close the live window first.',
  parkTold: 'Say who was told.',
  parkOwner: 'Say who owns the parked job.',
  parkUntil: 'Say until when: a date.',
  parkIsolated: '“{source}” is not cut at “{point}”: a machine parked shut is cut at every point.',
  parkControl:
    '“{source}” can be switched on again by anybody: leave a lock on it (give the number of a parked lock).',
  parkLeft:
    '“{end}” is still open: close it, or say that it is insulated and covered, and why it stays open.',
  parkClosedPoint: '“{point}” is still cut: a machine parked usable is put together and on.',
  parkCase: 'The case of “{source}” has not been tested since it came back.',
  handTo: 'Hand over to somebody who has joined this job.',
  handLock: '{person} puts a lock on “{point}” before yours comes off: give its number.',
  rebaseBad:
    'What was given is no newer revision of this list: nothing was changed. Take the revision from the list of checklists again.',
  rebaseLong:
    'Revision {revision} changes more than one entry of the record can hold. Finish on the revision that the job has, or park it and open a new job.',
  rebaseDone:
    '“{step}” was done by other words or another limit than revision {revision} has. Correct it first and do it again after the change, or finish on the revision that the job has.',
  rebaseStands:
    'Revision {revision} has other steps or gates, so the job would begin anew; that needs a machine as it was found: nothing cut, locked, open or taken off. Finish on the revision that the job has, or park it and open a new job.',
  removeOwner: 'There is no lock {lock} on this job.',
  removeHere: '{person} is here: a lock comes off by the hand of the person who put it on.',
  removeFacts:
    'Three facts first: that {person} is not on site, what was tried to reach them, and how they will know before they work here again.',
  removeTwo: 'Taking off somebody’s lock needs a second, authorized person.',
  refuseLeft:
    'Somebody could be hurt by what is left: park it shut instead, or say how “{end}” is left.',
  closeStep: '“{step}” is not done yet.',
  wallText: 'Give “{field}”.',
  monoBack:
    'The running clock went backwards within one run: the command is not from this device’s clock.',
  amendEarly: 'An amendment is added after the end; before it, correct the step.',
  lapseUnknown: '“{what}” is no lapse that can be stated here.',
  lapseSource: 'Name the source.',
  notTogether: 'Work is stopped: {why}.',
} as const;

export type WordKey = keyof typeof WORDS;
export type WordArgs = Readonly<Record<string, string | number>>;

/** Sentences taken apart at their braces: text, name, text, name … text. As many as there are templates. */
const apart = new Map<string, readonly string[]>();

/** Puts arguments into the braces of a sentence; a missing one shows as its name. */
export function fill(template: string, args: WordArgs): string {
  let parts = apart.get(template);
  if (!parts) apart.set(template, (parts = template.split(/\{(\w+)\}/)));
  let says = '';
  for (let at = 0; at < parts.length; at++) {
    const part = parts[at] as string;
    says += at % 2 === 0 ? part : String(args[part] ?? part);
  }
  return says;
}
