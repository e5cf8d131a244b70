import { describe, expect, test } from 'vitest';
import { LARGEST_BATCH, readBatch } from '#lib/server/ingest/batch.ts';
import { readBody, readJson } from '#lib/server/web/body.ts';
import { Rate } from '#lib/server/web/rate.ts';

const post = (body: BodyInit, headers: Record<string, string>) =>
  new Request('https://records.example/', { method: 'POST', body, headers });

describe('a body', () => {
  test('is cut off at the limit, whatever length it claims', async () => {
    let pulled = 0;
    const endless = new ReadableStream<Uint8Array<ArrayBuffer>>({
      pull(controller) {
        pulled += 1;
        controller.enqueue(new Uint8Array(1024));
      },
    });
    const request = new Request('https://records.example/', {
      method: 'POST',
      body: endless,
      headers: { 'Content-Type': 'application/x-ndjson', 'Content-Length': '10' },
      duplex: 'half',
    } as RequestInit);
    const read = await readBody(request, 10 * 1024, ['application/x-ndjson']);
    expect(read).toMatchObject({ ok: false, status: 413 });
    expect(pulled).toBeLessThan(20);
  });

  test('of another kind, or compressed, is not read', async () => {
    const types = ['application/x-ndjson'];
    const text = post('x\n', { 'Content-Type': 'text/plain' });
    expect(await readBody(text, 100, types)).toMatchObject({ status: 415 });
    const packed = { 'Content-Type': 'application/x-ndjson', 'Content-Encoding': 'gzip' };
    expect(await readBody(post('x\n', packed), 100, types)).toMatchObject({ status: 415 });
  });

  test('that is no JSON is said to be none', async () => {
    const bad = post('{"a":', { 'Content-Type': 'application/json' });
    expect(await readJson(bad)).toMatchObject({ code: 'not-json' });
    const odd = post(new Uint8Array([0xff]), { 'Content-Type': 'application/json' });
    expect(await readJson(odd)).toMatchObject({ code: 'not-json' });
  });
});

describe('a batch', () => {
  const bytes = (text: string) => new TextEncoder().encode(text);

  test('is its lines', () => {
    expect(readBatch(bytes('a\nb\n'))).toMatchObject({ ok: true, lines: [{}, {}] });
  });

  test.each([
    ['cut', 'a\nb', 'bad-batch'],
    ['empty', '', 'bad-batch'],
    ['too many', 'a\n'.repeat(201), 'too-large'],
    ['too large', `${'a'.repeat(LARGEST_BATCH)}\n`, 'too-large'],
  ])('that is %s is refused whole', (_, text, code) => {
    expect(readBatch(bytes(text))).toMatchObject({ ok: false, code });
  });
});

describe('the rate of one sender', () => {
  test('is held for a minute, and touches nobody else', () => {
    const rate = new Rate({ requests: 3, bytes: 1000 });
    for (let at = 0; at < 3; at += 1) expect(rate.count('one', at)).toBeNull();
    expect(rate.count('one', 10_000)).toMatchObject({ status: 429, retryAfter: 50 });
    expect(rate.count('other', 10_000)).toBeNull();
    expect(rate.count('one', 60_000)).toBeNull();
    expect(rate.count('other', 10_001, 2000)).toMatchObject({ status: 429 });
  });
});
