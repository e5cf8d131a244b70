/** `checklist`, `photos`, `disclosures`: what stands beside the record, and is pinned by it. */
import { photosNamed } from '../../record/chain.ts';
import { canonicalText } from '../../record/canonical.ts';
import { payloadOf } from '../examined.ts';
import type { Examined } from '../examined.ts';
import { CHECKLIST_JSON, DISCLOSURES, photoPath, shownPath } from '../layout.ts';
import { readAllShown } from '../read-folder.ts';
import { failure, judged, remark } from '../report.ts';
import type { Finding, Verdict } from '../report.ts';
import { wordsShown } from '../shown.ts';
import { unreadable } from './container.ts';
import { lineAt } from './record.ts';
import { revisionFindings } from './revisions.ts';

export function checkChecklist(bag: Examined): Verdict {
  const { files, checklist } = bag;
  const opened = bag.story?.[0];
  if (opened?.type !== 'job.opened') return unreadable('the first entry');
  const { id, revision, sha256 } = opened.body.checklist;
  const file = `data/${CHECKLIST_JSON}`;
  if (files.get(file)?.sha256 !== sha256) {
    return judged(
      [
        failure(
          'checklist-other',
          'The checklist in the bag is not the one that the first entry names.',
          file,
        ),
      ],
      '',
    );
  }
  if (!checklist.ok) {
    return judged(
      [failure('checklist-form', `The checklist cannot be read. ${checklist.flaw.says}`, file)],
      '',
    );
  }
  const findings: Finding[] = [];
  if (checklist.value.id !== id || checklist.value.revision !== revision) {
    findings.push(
      failure(
        'checklist-name',
        `The first entry calls the checklist “${id}” revision ${revision}; it is “${checklist.value.id}” revision ${checklist.value.revision}.`,
        file,
      ),
    );
  }
  findings.push(...shownFindings(bag, checklist.value), ...revisionFindings(bag));
  return judged(
    findings,
    `The job ran on “${checklist.value.title}” (${id}, revision ${revision}), and the words shown are those of it.`,
  );
}

type Checklist = Extract<Examined['checklist'], { ok: true }>['value'];

function shownFindings({ files }: Examined, checklist: Checklist): Finding[] {
  const held = new Map(
    payloadOf(files).flatMap(({ path, place }) => {
      const bytes = files.get(path)?.bytes;
      return place.kind === 'shown' && bytes ? [[path.slice('data/'.length), bytes] as const] : [];
    }),
  );
  const shown = readAllShown(held);
  if (!shown.ok)
    return [
      failure('shown-form', `The words shown cannot be read. ${shown.flaw.says}`, 'data/shown'),
    ];
  const own = wordsShown(checklist);
  const findings: Finding[] = [];
  if (!shown.value.has(own.language)) {
    findings.push(
      failure(
        'shown-missing',
        `The words shown in “${own.language}” are not in the bag.`,
        `data/${shownPath(own.language)}`,
      ),
    );
  }
  for (const [language, words] of shown.value) {
    const where = `data/${shownPath(language)}`;
    if (language === own.language) {
      if (canonicalText(words) !== canonicalText(own)) {
        findings.push(
          failure('shown-changed', 'The words shown are not those of the checklist.', where),
        );
      }
    } else if (
      canonicalText(Object.keys(words.steps).sort()) !==
      canonicalText(Object.keys(own.steps).sort())
    ) {
      findings.push(
        failure(
          'shown-steps',
          `The words in “${language}” are not for the steps of this checklist.`,
          where,
        ),
      );
    } else {
      findings.push(
        remark(
          'shown-translation',
          `The words in “${language}” are a translation, which the record does not pin; only the seal of the bag protects them.`,
          where,
        ),
      );
    }
  }
  return findings;
}

export function checkPhotos(bag: Examined): Verdict {
  const { files, info, sealed } = bag;
  const events = bag.story;
  if (sealed === null || events === null) return unreadable('the record');
  const named = new Map<string, number>();
  for (const { entry } of sealed) {
    for (const digest of photosNamed(entry.body)) {
      if (!named.has(digest)) named.set(digest, entry.seq);
    }
  }
  const changes = typeof info === 'string' ? [] : info.photos;
  const erased = new Set(
    events.flatMap((event) => (event.type === 'disclosure.erased' ? [event.body.digest] : [])),
  );
  const findings: Finding[] = [];
  const replaced = new Set<string>();
  for (const [digest, seq] of named) {
    const change = changes.find(({ sha256 }) => sha256 === digest);
    const path = `data/${photoPath(digest)}`;
    if (files.has(path) && erased.has(digest)) {
      findings.push(
        failure(
          'photo-kept',
          `The photo ${digest} of entry ${seq} was erased, and yet is here.`,
          path,
        ),
      );
    }
    if (files.has(path)) continue;
    if (change?.shownAs !== undefined && files.has(`data/${photoPath(change.shownAs)}`)) {
      replaced.add(change.shownAs);
      findings.push(
        remark(
          'photo-blurred',
          `The photo ${digest} of entry ${seq} is shown with a part made unreadable, as ${change.shownAs}.`,
          path,
        ),
      );
    } else if (change !== undefined && change.shownAs === undefined) {
      findings.push(
        remark('photo-withheld', `The photo ${digest} of entry ${seq} is withheld.`, path),
      );
    } else if (erased.has(digest)) {
      findings.push(
        remark(
          'photo-erased',
          `The photo ${digest} of entry ${seq} was erased, and the record says so.`,
          path,
        ),
      );
    } else {
      findings.push(
        failure(
          'photo-missing',
          `The photo ${digest} that entry ${seq} names is not in the bag.`,
          path,
        ),
      );
    }
  }
  for (const { path, place } of payloadOf(files)) {
    if (place.kind !== 'photo') continue;
    if (files.get(path)?.sha256 !== place.sha256) {
      findings.push(
        failure(
          'photo-changed',
          'The photo is not the one it is named for: it was changed or swapped.',
          path,
        ),
      );
    } else if (!named.has(place.sha256) && !replaced.has(place.sha256)) {
      findings.push(failure('photo-strange', 'No entry names this photo.', path));
    }
  }
  const missing = findings.filter(({ fails }) => !fails).length;
  return judged(
    findings,
    `${named.size} photos are named, ${named.size - missing} of them here as they were taken.`,
  );
}

export function checkDisclosures(bag: Examined): Verdict {
  const { sealed, disclosures } = bag;
  const events = bag.story;
  if (sealed === null || events === null) return unreadable('the record');
  const file = `data/${DISCLOSURES}`;
  if (!disclosures.ok) {
    return judged(
      [
        failure(
          'disclosure-form',
          `The private values cannot be read. ${disclosures.flaw.says}`,
          file,
        ),
      ],
      '',
    );
  }
  const erased = new Map(
    events.flatMap((event, seq) =>
      event.type === 'disclosure.erased' ? [[event.body.digest, seq] as const] : [],
    ),
  );
  const findings: Finding[] = [];
  const shown = new Set<string>();
  for (const [at, { seq, digest, name }] of disclosures.value.entries()) {
    const where = `${file} line ${at + 1}`;
    if (!(sealed[seq]?.entry._sd ?? []).includes(digest)) {
      findings.push(
        failure(
          'disclosure-other',
          `The value “${name}” was changed, or never stood in entry ${seq}: its digest is not there.`,
          where,
        ),
      );
    } else if (shown.has(digest)) {
      findings.push(
        failure(
          'disclosure-twice',
          `The value “${name}” of entry ${seq} is disclosed twice.`,
          where,
        ),
      );
    } else if (erased.has(digest)) {
      findings.push(
        failure(
          'disclosure-erased',
          `The value “${name}” of entry ${seq} was erased, and yet is here.`,
          where,
        ),
      );
    }
    shown.add(digest);
  }
  const all = new Set(sealed.flatMap(({ entry }) => entry._sd ?? []));
  const photos = new Set(sealed.flatMap(({ entry }) => photosNamed(entry.body)));
  for (const [digest, seq] of erased) {
    if (!all.has(digest) && !photos.has(digest)) {
      findings.push(
        failure(
          'erased-nothing',
          `Entry ${seq} erases something that the record never held.`,
          lineAt(seq),
        ),
      );
    }
  }
  const gone = [...all].filter((digest) => erased.has(digest)).length;
  const withheld = all.size - gone - shown.size;
  if (withheld > 0) {
    findings.push(
      remark(
        'withheld',
        `${withheld} private values are withheld; their digests stand in the record, so that it is provably the same record.`,
        file,
      ),
    );
  }
  if (gone > 0)
    findings.push(
      remark('erased', `${gone} private values were erased, and the record says so.`, file),
    );
  return judged(
    findings,
    `${shown.size} private values are shown as they were entered, ${withheld} withheld, ${gone} erased.`,
  );
}
