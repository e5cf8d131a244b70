import { createHash } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import { hex, utf8 } from '#lib/core/record/bytes.ts';
import {
  canonicalBytes,
  canonicalText,
  LINE_BOUNDS,
  parseCanonical,
} from '#lib/core/record/canonical.ts';
import type { Bounds } from '#lib/core/record/canonical.ts';
import {
  describeWithVectors,
  vectorBytes,
  vectorNames,
  vectorText,
} from '../../../support/vectors.ts';

const ANY: Bounds = { bytes: 1_000_000, depth: 100, numbers: 'any' };

describe('canonical text (RFC 8785)', () => {
  // RFC 8785 section 3.2.2, the sample.
  it('writes the sample of the standard', () => {
    const sample = {
      numbers: [Number('333333333.33333329'), 1e30, 4.5, 2e-3, 0.000000000000000000000000001],
      string: '\u20ac$\u000f\u000aA\'\u0042\u0022\u005c\\"\u002f',
      literals: [null, true, false],
    };
    expect(canonicalText(sample)).toBe(
      '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}',
    );
  });

  // RFC 8785 section 3.2.3: by UTF-16 code unit; by code point the face would come last.
  it('sorts names by UTF-16 code unit', () => {
    const names = ['\u20ac', '\r', '\ufb33', '1', '\ud83d\ude00', '\u0080', '\u00f6'];
    const text = canonicalText(Object.fromEntries(names.map((name) => [name, 0])));
    expect(Object.keys(JSON.parse(text) as object).sort()).toEqual(
      ['\r', '1', '\u0080', '\u00f6', '\u20ac', '\ud83d\ude00', '\ufb33'].sort(),
    );
    expect(text).toBe(
      '{"\\r":0,"1":0,"\u0080":0,"\u00f6":0,"\u20ac":0,"\ud83d\ude00":0,"\ufb33":0}',
    );
  });

  it.each([
    // RFC 8785 appendix B.
    ['0000000000000000', '0'],
    ['8000000000000000', '0'],
    ['0000000000000001', '5e-324'],
    ['8000000000000001', '-5e-324'],
    ['7fefffffffffffff', '1.7976931348623157e+308'],
    ['ffefffffffffffff', '-1.7976931348623157e+308'],
    ['4340000000000000', '9007199254740992'],
    ['c340000000000000', '-9007199254740992'],
    ['4430000000000000', '295147905179352830000'],
    ['44b52d02c7e14af5', '9.999999999999997e+22'],
    ['44b52d02c7e14af6', '1e+23'],
    ['44b52d02c7e14af7', '1.0000000000000001e+23'],
    ['444b1ae4d6e2ef4e', '999999999999999700000'],
    ['444b1ae4d6e2ef4f', '999999999999999900000'],
    ['444b1ae4d6e2ef50', '1e+21'],
    ['3eb0c6f7a0b5ed8c', '9.999999999999997e-7'],
    ['3eb0c6f7a0b5ed8d', '0.000001'],
    ['41b3de4355555553', '333333333.3333332'],
    ['41b3de4355555554', '333333333.33333325'],
    ['41b3de4355555555', '333333333.3333333'],
    ['41b3de4355555556', '333333333.3333334'],
    ['41b3de4355555557', '333333333.33333343'],
    ['becbf647612f3696', '-0.0000033333333333333333'],
    ['43143ff3c1cb0959', '1424953923781206.2'],
  ])('writes the number %s as %s', (bits, text) => {
    const value = new DataView(new Uint8Array(Buffer.from(bits, 'hex')).buffer).getFloat64(0);
    expect(canonicalText(value)).toBe(text);
  });

  it.each([
    ['not a number', Number.NaN],
    ['infinity', Number.POSITIVE_INFINITY],
    ['half a pair', 'a\ud83d'],
    ['half a pair as a name', { ['\ude00']: 1 }],
    ['undefined', { a: undefined }],
    ['a function', [() => 1]],
    ['a bigint', 1n],
  ])('throws for %s', (_, value) => {
    expect(() => canonicalText(value)).toThrow(TypeError);
  });

  it('throws for a value without end, and does not run out of stack', () => {
    const endless: unknown[] = [];
    endless.push(endless);
    expect(() => canonicalText(endless)).toThrow(/too deeply/);
  });
});

describeWithVectors('the published canonicalization vectors', () => {
  // cyberphone/json-canonicalization; the digests are of the published outputs, listed apart.
  const digests: Record<string, string> = {
    arrays: '099601b171cafed97c333f8878d68e7f8c8f795412adb34b2fdcf0e7c7beac42',
    french: 'd99d0ebdcb0033cb858cfa830ae46bc0fb3309413b271f1da828c89901a27ed5',
    structures: '605f65004ec2db7692522a0852c22f1c989e036d547e88963d1a3143cf3195d5',
    unicode: '0d99aad92a125196ff887876643fd3206786a84ddce2cee52ba4ad256d2381d3',
    values: '2d5e01a318d0f0879ab568c4be289c8b1f64ef8921a53c6277d5e069978baacb',
    weird: '6af595a9aa80110b964b4de3f82a05fa6ae7423005019bacfa2620dddc4e94d1',
  };
  const names = vectorNames('jcs', 'input');

  it('are all here', () => {
    expect(names).toEqual(Object.keys(digests).map((name) => `${name}.json`));
  });

  it.each(names)('%s comes out byte for byte', (file) => {
    const name = file.replace('.json', '');
    const bytes = canonicalBytes(JSON.parse(vectorText('jcs', 'input', file)));
    const wanted = vectorText('jcs', 'outhex', `${name}.txt`).replace(/\s/g, '');
    expect(hex(bytes)).toBe(wanted);
    expect(Buffer.from(bytes).equals(vectorBytes('jcs', 'output', file))).toBe(true);
    expect(createHash('sha256').update(bytes).digest('hex')).toBe(digests[name]);
  });

  it.each(names)('%s is read back from its canonical form, and not from its first form', (file) => {
    expect(parseCanonical(vectorBytes('jcs', 'output', file), ANY)).toMatchObject({ ok: true });
    expect(parseCanonical(vectorBytes('jcs', 'input', file), ANY)).toMatchObject({
      ok: false,
      flaw: { code: 'not-canonical' },
    });
  });
});

describe('the strict reader', () => {
  const code = (text: string | Uint8Array, bounds = LINE_BOUNDS): string => {
    const read = parseCanonical(typeof text === 'string' ? utf8(text) : text, bounds);
    return read.ok ? 'read' : read.flaw.code;
  };

  it('reads what it would write', () => {
    expect(code('{"10":[],"9":{"a":"é"},"b":[true,null,-3]}')).toBe('read');
  });

  it.each([
    ['a name twice', '{"result":"fail","result":"pass"}', 'not-canonical'],
    ['names out of order', '{"b":1,"a":2}', 'not-canonical'],
    ['white space', '{"a": 1}', 'not-canonical'],
    ['a line feed at the end', '{"a":1}\n', 'not-canonical'],
    ['a byte order mark', '\ufeff{"a":1}', 'not-json'],
    ['minus zero', '{"a":-0}', 'not-canonical'],
    ['a needless fraction', '{"a":1.0}', 'not-canonical'],
    ['a fraction', '{"a":1.5}', 'not-plain'],
    ['an exponent', '{"a":1e2}', 'not-canonical'],
    ['2^53 + 1', '{"a":9007199254740993}', 'not-plain'],
    ['2^53', '{"a":9007199254740992}', 'not-plain'],
    ['a needless escape', '{"a":"\\u0061"}', 'not-canonical'],
    ['an escaped slash', '{"a":"\\/"}', 'not-canonical'],
    ['upper case in an escape', '{"a":"\\u001F"}', 'not-canonical'],
    ['half a surrogate pair', '{"a":"\\ud83d"}', 'not-plain'],
    ['half a pair as a name', '{"\\ude00":1}', 'not-plain'],
    ['an escaped whole pair', '{"a":"\\ud83d\\ude00"}', 'not-canonical'],
    ['NaN', '{"a":NaN}', 'not-json'],
    ['nothing', '', 'not-json'],
    ['a reserved name', '{"__proto__":{"x":1}}', 'not-plain'],
    ['a second reserved name', '{"constructor":1}', 'not-plain'],
  ])('refuses %s', (_, text, wanted) => {
    expect(code(text)).toBe(wanted);
  });

  it('leaves every other object as it was after a reserved name', () => {
    code('{"__proto__":{"x":1}}');
    expect(({} as { x?: number }).x).toBeUndefined();
  });

  it.each([
    ['an overlong slash', [0x22, 0xc0, 0xaf, 0x22]],
    ['a surrogate in UTF-8', [0x22, 0xed, 0xa0, 0x80, 0x22]],
    ['a cut sequence', [0x22, 0xe2, 0x82, 0x22]],
    ['a byte that begins nothing', [0x22, 0xff, 0x22]],
  ])('refuses bytes that are not UTF-8: %s', (_, bytes) => {
    expect(code(new Uint8Array(bytes))).toBe('not-utf8');
  });

  it('reads 16 levels and refuses 17, brackets inside texts not counted', () => {
    const nested = (depth: number): string => '['.repeat(depth) + ']'.repeat(depth);
    expect(code(nested(16))).toBe('read');
    expect(code(nested(17))).toBe('too-deep');
    expect(code(`["${'['.repeat(50)}\\"${'{'.repeat(50)}"]`)).toBe('read');
  });

  it('refuses 100,000 levels without running out of stack', () => {
    const bomb = utf8('['.repeat(100_000));
    expect(code(bomb, { ...LINE_BOUNDS, bytes: 200_000 })).toBe('too-deep');
  });

  it('reads 32 KiB and refuses one byte more', () => {
    const text = (length: number): string => `"${'a'.repeat(length - 2)}"`;
    expect(code(text(32 * 1024))).toBe('read');
    expect(code(text(32 * 1024 + 1))).toBe('too-long');
  });

  it('says from which character the form is off', () => {
    const read = parseCanonical(utf8('{"a":1,"b": 2}'), LINE_BOUNDS);
    expect(read).toMatchObject({
      ok: false,
      flaw: { says: expect.stringContaining('character 12') },
    });
  });
});
