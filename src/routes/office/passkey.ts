/** Passkeys from the browser's side. */
import { resolve } from '$app/paths';
import { startAuthentication, startRegistration } from '@simplewebauthn/browser';

const FAILED = 'The passkey was not used. Nothing was changed; try again, or use the password.';

/** @returns what went wrong, or null */
export function signInWithPasskey(): Promise<string | null> {
  return quietly(async () => {
    const optionsJSON = await post(resolve('/office/passkey/question'));
    return post(resolve('/office/passkey/answer'), await startAuthentication({ optionsJSON }));
  });
}

/** Adds a passkey to the account that is signed in. */
export function addPasskey(label: string): Promise<string | null> {
  return quietly(async () => {
    const optionsJSON = await post(resolve('/office/passkey/question'), { add: true });
    const response = await startRegistration({ optionsJSON });
    return post(resolve('/office/passkey/add'), { label, response });
  });
}

async function quietly(work: () => Promise<unknown>): Promise<string | null> {
  try {
    await work();
    return null;
  } catch (error) {
    return error instanceof Refusal ? error.message : FAILED;
  }
}

class Refusal extends Error {}

/* eslint-disable-next-line @typescript-eslint/no-explicit-any -- the shapes are the library's own */
async function post(path: string, body: object = {}): Promise<any> {
  const response = await fetch(path, {
    method: 'POST',
    headers: { 'Content-Type': 'application/json' },
    body: JSON.stringify(body),
  });
  const value = await response.json();
  if (!response.ok) throw new Refusal(value.says ?? FAILED);
  return value;
}
