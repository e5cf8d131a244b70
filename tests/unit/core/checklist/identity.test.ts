import { createHash } from 'node:crypto';
import canonicalize from 'canonicalize';
import { describe, expect, test } from 'vitest';
import { checklistIdentity } from '#lib/core/checklist/identity.ts';
import { loadChecklist } from '#lib/core/checklist/load.ts';
import { changed, kilnText, lampText } from '../../../support/checklist-texts.ts';

const sha256 = (bytes: Uint8Array) => new Uint8Array(createHash('sha256').update(bytes).digest());

function identityOf(text: string): string {
  const loaded = loadChecklist(text);
  if (!loaded.ok) throw new Error(JSON.stringify(loaded.problems));
  return checklistIdentity(loaded.json, sha256);
}

describe('the identity of a checklist', () => {
  test('is the SHA-256 of what the canonicalize library makes of it (RFC 8785)', () => {
    const loaded = loadChecklist(kilnText);
    if (!loaded.ok) throw new Error('unexpected');
    const outside = createHash('sha256')
      .update(canonicalize(loaded.json) ?? '')
      .digest('hex');
    expect(identityOf(kilnText)).toBe(outside);
  });

  test('of the known value {} is the SHA-256 of two braces', () => {
    // SHA-256 of "{}", computed with coreutils sha256sum.
    expect(checklistIdentity({}, sha256)).toBe(
      '44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a',
    );
  });

  test('does not count layout, comments, quotes or the order of keys', () => {
    const turned = changed(
      lampText,
      'phase: restore\n    do: clear',
      'do: clear\n    phase: restore',
    );
    const quoted = changed(
      turned,
      'title: Replace the switch of a bench lamp',
      "title: 'Replace the switch of a bench lamp' # said once",
    );
    const windows = `# a comment\n${quoted}`.replaceAll('\n', '\r\n');
    expect(identityOf(windows)).toBe(identityOf(lampText));
  });

  test('counts every word', () => {
    expect(identityOf(changed(lampText, 'below: 2 V', 'below: 2.0 V'))).not.toBe(
      identityOf(lampText),
    );
  });
});
