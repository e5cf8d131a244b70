/** Empty places for records, of each kind of database: what the contract is run against. */
import { mkdtempSync, rmSync } from 'node:fs';
import { connect } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import pg from 'pg';
import { inject } from 'vitest';
import type { Kind, Place } from '#lib/server/database/database.ts';

export const kinds: readonly Kind[] = ['sqlite', 'postgres'];

export interface EmptyPlace {
  readonly place: Place;
  /** A folder of its own: what the server keeps outside the database. */
  readonly folder: string;
  remove(): Promise<void>;
}

/** A place that nothing was ever stored in. */
export async function emptyPlace(kind: Kind): Promise<EmptyPlace> {
  const folder = mkdtempSync(join(tmpdir(), 'stillwire-store-'));
  const removeFolder = () => rmSync(folder, { recursive: true, force: true, maxRetries: 3 });
  if (kind === 'sqlite')
    return {
      place: { kind, file: join(folder, 'records.sqlite') },
      folder,
      remove: () => Promise.resolve(removeFolder()),
    };
  const server = await serverAddress();
  const name = `t${process.pid}_${Date.now().toString(36)}_${(count += 1)}`;
  await command(server, `create database ${name}`);
  const address = new URL(server);
  address.pathname = `/${name}`;
  return {
    place: { kind, address: address.href },
    folder,
    remove: async () => {
      removeFolder();
      await command(server, `drop database ${name} with (force)`);
    },
  };
}
let count = 0;

function serverAddress(): Promise<string> {
  return new Promise((found, fail) => {
    let said = '';
    connect(inject('postgresDoor'), '127.0.0.1')
      .on('data', (chunk: Buffer) => (said += String(chunk)))
      .on('error', fail)
      .on('end', () => (said.startsWith('!') ? fail(new Error(said.slice(1))) : found(said)));
  });
}

async function command(address: string, text: string): Promise<void> {
  const client = new pg.Client({ connectionString: address });
  await client.connect();
  try {
    await client.query(text);
  } finally {
    await client.end();
  }
}
