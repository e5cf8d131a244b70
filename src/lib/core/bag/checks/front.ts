/** `front`: does the front page say what the record says? It is made again, and compared. */
import { sameBytes, textOf } from '../../record/bytes.ts';
import { payloadBytes, payloadOf } from '../examined.ts';
import type { Examined } from '../examined.ts';
import type { FrontInput } from '../front/front-input.ts';
import { claimedPage, frontBytes, PAGE_VERSION } from '../front/front-page.ts';
import type { FrontLanguage } from '../front/words.ts';
import { CHECKLIST_JSON, FRONT, FRONT_PDF, RECORD } from '../layout.ts';
import { readAllShown } from '../read-folder.ts';
import { failure, judged, notRun, remark } from '../report.ts';
import type { Verdict } from '../report.ts';

const FILE = `data/${FRONT}`;

export function checkFront(bag: Examined): Verdict {
  const page = payloadBytes(bag.files, FRONT);
  if (page === null) return judged([failure('front-missing', 'There is no front page.', FILE)], '');
  const claimed = claimedPage(textOf(page) ?? '');
  if (claimed === null) {
    return judged(
      [failure('front-strange', 'This is not a front page that this program makes.', FILE)],
      '',
    );
  }
  if (claimed.version !== PAGE_VERSION) {
    const says = `Not run: the front page says that it is of version ${claimed.version}, and this program makes version ${PAGE_VERSION}. It was not compared with the record: rely on the record, not on the page.`;
    return notRun(says, [remark('front-version', says.slice('Not run: '.length), FILE)]);
  }
  const input = frontInputOf(bag, claimed.language);
  if (input === null) return notRun('Not run: what the front page is made from could not be read.');
  if (!sameBytes(frontBytes(input), page)) {
    return judged(
      [
        failure(
          'front-other',
          'The front page does not say what the record says: it was changed, or made from another record.',
          FILE,
        ),
      ],
      '',
    );
  }
  const pdf = bag.files.has(`data/${FRONT_PDF}`)
    ? [
        remark(
          'front-pdf',
          'front.pdf is not compared with the record; only the seal of the bag protects it. Read front.html where they differ.',
          `data/${FRONT_PDF}`,
        ),
      ]
    : [];
  return judged(pdf, 'The front page is exactly what the record, made again, says.');
}

/** What the front page of this bag is made from; `null` when a part cannot be read. */
export function frontInputOf(bag: Examined, language: FrontLanguage): FrontInput | null {
  const { files, sealed, checklist, disclosures, keys, info } = bag;
  const events = bag.story;
  const [record, json] = [files.get(`data/${RECORD}`), files.get(`data/${CHECKLIST_JSON}`)];
  if (sealed === null || events === null || events[0]?.type !== 'job.opened') return null;
  if (!checklist.ok || !disclosures.ok || !keys.ok || !record || !json) return null;
  const places = payloadOf(files);
  const held = new Map(
    places.flatMap(({ path, place }) => {
      const bytes = files.get(path)?.bytes;
      return place.kind === 'shown' && bytes ? [[path.slice('data/'.length), bytes] as const] : [];
    }),
  );
  const shown = readAllShown(held);
  return {
    language,
    sealed,
    events,
    checklist: checklist.value,
    shown: shown.ok ? (shown.value.get(language) ?? null) : null,
    disclosures: disclosures.value,
    photos: new Set(places.flatMap(({ place }) => (place.kind === 'photo' ? [place.sha256] : []))),
    photoChanges: typeof info === 'string' ? [] : info.photos,
    keys: keys.value.keys,
    digests: { record: record.sha256, checklist: json.sha256 },
    receipts: places.flatMap(({ place }) => (place.kind === 'receipt' ? [place.seq] : [])),
    timestamps: places.filter(({ place }) => place.kind === 'timestamp').length,
  };
}
