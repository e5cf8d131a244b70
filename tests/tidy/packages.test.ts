import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { root } from './tree.ts';

interface Package {
  dependencies: Record<string, string>;
  devDependencies: Record<string, string>;
  optionalDependencies: Record<string, string>;
}
interface Lock {
  packages: Record<string, Entry>;
}
interface Entry {
  version?: string;
  resolved?: string;
  integrity?: string;
  optionalDependencies?: Record<string, string>;
}

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

  test('bites on a range, an address, a missing checksum and a missing package', () => {
    expect(loose({ a: '^1.0.0', b: 'latest', c: '1.0.0' })).toHaveLength(2);
    expect(absent({ packages: { a: { optionalDependencies: { b: '1.0.0' } } } })).toHaveLength(1);
    const address = 'https://host.example/a.tgz';
    expect(faultsOf({ packages: { a: { version: '1.0.0', resolved: address } } })).toHaveLength(2);
  });
});
