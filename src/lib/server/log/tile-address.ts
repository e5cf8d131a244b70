/**
 * Addresses of tiles (c2sp.org/tlog-tiles): level, then the index in groups of three digits, every group
 * but the last with an x before it; `.p/W` for the first W hashes of a tile that is not full.
 */
import { TILE_WIDTH } from './tile.ts';
import type { TilePlace } from './tile.ts';

const FORM = /^(0|[1-9]\d?)\/((?:x\d{3}\/)*)(\d{3})(?:\.p\/([1-9]\d{0,2}))?$/;
const HIGHEST_LEVEL = 63;

/** @param address what follows `/tile/` */
export function tileAt(address: string): TilePlace | null {
  const found = FORM.exec(address);
  if (found === null) return null;
  const level = Number(found[1]);
  const index = Number((found[2] ?? '').replace(/[x/]/g, '') + (found[3] ?? ''));
  const width = found[4] === undefined ? TILE_WIDTH : Number(found[4]);
  const partial = found[4] !== undefined;
  if (level > HIGHEST_LEVEL || !Number.isSafeInteger(index)) return null;
  if (partial && width >= TILE_WIDTH) return null;
  // One spelling only: no empty groups before the first that counts.
  return tileAddress({ level, index, width }) === address ? { level, index, width } : null;
}

export function tileAddress({ level, index, width }: TilePlace): string {
  const digits = String(index);
  const padded = digits.padStart(Math.ceil(digits.length / 3) * 3, '0');
  const groups = padded.match(/\d{3}/g) ?? [];
  const path = groups.map((group, at) => (at < groups.length - 1 ? `x${group}` : group)).join('/');
  return `${level}/${path}${width < TILE_WIDTH ? `.p/${width}` : ''}`;
}
