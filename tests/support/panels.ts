// The panels behind “More”, by the names of their keys.
import { expect } from '@playwright/test';
import type { JobHand } from './job-hand.ts';
import { everyEndStays } from './leaving.ts';

export async function more({ page }: JobHand, what: RegExp): Promise<void> {
  await page.getByRole('button', { name: 'More', exact: true }).click();
  await page.getByRole('dialog').getByRole('button', { name: what }).click();
}

export async function closePanel({ page }: JobHand): Promise<void> {
  await page.getByRole('dialog').getByRole('button', { name: 'Back to the job' }).click();
}

const PIN = '2580';

/** Chooses the PIN that `givesPin` gives. */
export async function choosesPin({ page }: JobHand): Promise<void> {
  await page.getByLabel(/^(?:Own PIN|PIN of).* four to eight digits/u).fill(PIN);
  await page.getByLabel('The same PIN once more').fill(PIN);
}

/** Says with an own PIN whose word it is. */
export async function givesPin({ page }: JobHand, name: string, pin = PIN): Promise<void> {
  const dialog = page.getByRole('dialog', { name: `PIN of ${name}` });
  await dialog.getByLabel('PIN', { exact: true }).fill(pin);
  await dialog.getByRole('button', { name: 'This is my word' }).click();
  if (pin === PIN) await expect(dialog).toHaveCount(0);
}

/** Opens the panel of the people and has somebody new join by name and own PIN; it stays open. */
export async function joinsByName(hand: JobHand, name: string): Promise<void> {
  await more(hand, /^People/u);
  await hand.page.getByLabel('Name', { exact: true }).fill(name);
  await choosesPin(hand);
  await hand.tap('Joins the job');
  await expect(hand.page.getByRole('button', { name: `${name} leaves` })).toBeVisible();
}

/** The job goes on in the hand of somebody of this device, with their PIN where they have one. */
export async function takesTheDevice(
  hand: JobHand,
  name: string,
  asked = () => Promise.resolve(),
): Promise<void> {
  await more(hand, /^People/u);
  await hand.tap(name);
  await asked();
  await hand.hold(`${name} takes the device`);
  await asked();
  await closePanel(hand);
}

/** Walks to every point together, hangs the incoming lock where one is asked for, and hands over. */
export async function handsOver(hand: JobHand, to: string, lock: string): Promise<void> {
  await more(hand, /^Hand over/u);
  await hand.tap(to);
  for (const walk of await hand.page.getByRole('button', { name: /both saw it cut/u }).all())
    await walk.click();
  await hand.page.getByLabel(/number of the lock that now hangs/u).fill(lock);
  await hand.hold(/takes over this job/u);
  await givesPin(hand, to);
  await expect(hand.page.getByRole('dialog')).toHaveCount(0);
}

/** Parks the job shut with everything that is open left open; the panel closes by itself. */
export async function parksShut(
  hand: JobHand,
  said: {
    readonly told: string;
    readonly owner: string;
    readonly until: string;
    readonly lock?: string;
  },
): Promise<void> {
  const { page } = hand;
  await more(hand, /^Leave the job/u);
  await hand.tap(/^Park it shut/u);
  await everyEndStays(page);
  await page.getByLabel('Who was told').fill(said.told);
  await page.getByLabel('Who owns it until then').fill(said.owner);
  await page.getByLabel('Until', { exact: true }).fill(said.until);
  if (said.lock !== undefined)
    await page.getByLabel('Number of the parked lock, if one stays on').fill(said.lock);
  await hand.hold(/^Park it shut press and hold/u);
}
