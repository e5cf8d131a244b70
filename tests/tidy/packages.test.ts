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
  packages: Record<string, { version?: string; resolved?: string; integrity?: string }>;
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
  });

  test('bites on a range, an address and a missing checksum', () => {
    expect(loose({ a: '^1.0.0', b: 'latest', c: '1.0.0' })).toHaveLength(2);
    const address = 'https://host.example/a.tgz';
    expect(faultsOf({ packages: { a: { version: '1.0.0', resolved: address } } })).toHaveLength(2);
  });
});
