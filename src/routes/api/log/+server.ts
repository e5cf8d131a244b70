import { noteKeyText } from '#lib/core/record/index.ts';
import { nodePrimitives } from '#lib/crypto/node.ts';
import { house } from '#lib/server/house.ts';
import { lastCheckpoint } from '#lib/server/log/organisation-log.ts';
import { answered } from '#lib/server/refusal.ts';
import { reply } from '#lib/server/web/replies.ts';
import type { RequestHandler } from './$types';

/** Which log this is: its name, what its signatures are checked with, its newest checkpoint; and what time it is here. */
export const GET: RequestHandler = async () => {
  const { database, log, now } = house();
  const last = await lastCheckpoint(database.rows);
  return reply(
    answered({
      origin: log.origin,
      key: noteKeyText(log.noteKey, nodePrimitives),
      checkpoint: last?.note ?? null,
      at: now(),
    }),
  );
};
