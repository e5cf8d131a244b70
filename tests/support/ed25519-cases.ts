/** The selection of Project Wycheproof's Ed25519 cases that is kept with the vectors. */
import { readFileSync } from 'node:fs';

export interface SignatureCase {
  /** Its number where it was published. */
  readonly id: number;
  readonly valid: boolean;
  readonly key: string;
  readonly message: string;
  readonly signature: string;
}

const text = readFileSync(new URL('../vectors/ed25519-wycheproof.txt', import.meta.url), 'utf8');

export const signatureCases: readonly SignatureCase[] = text
  .split('\n')
  .filter((line) => line !== '' && !line.startsWith('#'))
  .map((line) => {
    const [id = '', verdict = '', key = '', ...rest] = line.split(' ');
    const [message = '', signature = ''] = rest.map((each) => (each === '-' ? '' : each));
    return { id: Number(id), valid: verdict === 'valid', key, message, signature };
  });
