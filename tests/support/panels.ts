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

/** Opens the panel of the people and has somebody new join by name; it stays open. */
export async function joinsByName(hand: JobHand, name: string): Promise<void> {
  await more(hand, /^People/u);
  await hand.page.getByLabel('Name', { exact: true }).fill(name);
  await hand.tap('Joins the job');
  await expect(hand.page.getByRole('button', { name: `${name} leaves` })).toBeVisible();
}

/** The job goes on in the hand of somebody of this device. */
export async function takesTheDevice(hand: JobHand, name: string): Promise<void> {
  await more(hand, /^People/u);
  await hand.tap(name);
  await hand.hold(`${name} takes the device`);
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
