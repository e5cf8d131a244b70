import AxeBuilder from '@axe-core/playwright';
import { expect } from '@playwright/test';
import { startApp } from '../support/app-server.ts';
import type { AppServer } from '../support/app-server.ts';
import { test } from '../support/quiet-page.ts';

const PASSWORD = 'seven copper bus bars';

let server: AppServer;
test.beforeAll(async () => {
  server = await startApp();
});
test.afterAll(() => server.stop());

const codeOnConsole = () => /good once: (\S+)/.exec(server.said())?.[1] ?? '';

test('the office is set up from the console, lets a device in, and is left and entered again', async ({
  page,
}) => {
  await page.goto(`${server.url}/office`);
  await expect(page).toHaveURL(/\/office\/set-up$/);
  await page.getByLabel('Code on the console').fill(codeOnConsole());
  await page.getByLabel('Your name').fill('Ines Vahl');
  await page.getByLabel('Sign-in name').fill('ines');
  await page.getByLabel('Password').fill(PASSWORD);
  await page.getByRole('button', { name: 'Begin' }).click();

  await expect(page).toHaveURL(/\/office\/devices$/);
  await page.getByLabel('What you call the device').fill('van 3');
  await page.getByLabel('Its people').fill('mara Mara Quill');
  await page.getByRole('button', { name: 'Make a code' }).click();
  await expect(page.locator('.code')).toHaveText(/^[0-9A-Z]{5}-[0-9A-Z]{5}$/);
  const seen = await new AxeBuilder({ page }).analyze();
  expect(seen.violations.map(({ id, nodes }) => [id, nodes[0]?.html])).toEqual([]);

  const authenticator = await page.context().newCDPSession(page);
  await authenticator.send('WebAuthn.enable');
  await authenticator.send('WebAuthn.addVirtualAuthenticator', {
    options: {
      protocol: 'ctap2',
      transport: 'internal',
      hasResidentKey: true,
      hasUserVerification: true,
      isUserVerified: true,
    },
  });
  await page.getByRole('link', { name: 'Accounts' }).click();
  await page.getByLabel('Name of the passkey').fill('desk');
  await page.getByRole('button', { name: 'Add a passkey' }).click();
  await expect(page.getByText('desk')).toBeVisible();

  await page.getByRole('button', { name: 'Sign out' }).click();
  await expect(page).toHaveURL(/\/office\/sign-in$/);
  await page.goto(`${server.url}/office/devices`);
  await expect(page).toHaveURL(/\/office\/sign-in$/);
  await page.getByRole('button', { name: 'Use a passkey' }).click();
  await expect(page.getByText('Nobody has a come-back clock running.')).toBeVisible();

  await page.getByRole('button', { name: 'Sign out' }).click();
  await page.getByLabel('Sign-in name').fill('ines');
  await page.getByLabel('Password').fill(PASSWORD);
  await page.getByRole('button', { name: 'Sign in', exact: true }).click();
  await expect(page.getByText('Nobody has a come-back clock running.')).toBeVisible();
});

test('the office answers neither strangers nor other pages', async ({ request }) => {
  const refused = await request.post(`${server.url}/office/sign-in?/in`, {
    headers: { Origin: 'https://elsewhere.example' },
    form: { login: 'ines', password: PASSWORD },
  });
  expect(refused.status()).toBe(403);
  const question = await request.post(`${server.url}/office/passkey/question`, {
    headers: { Origin: 'https://elsewhere.example', 'Content-Type': 'application/json' },
    data: {},
  });
  expect(question.status()).toBe(403);
  const list = await request.get(`${server.url}/office/trust-list`, { maxRedirects: 0 });
  expect(list.status()).toBe(303);
  const link = await request.get(`${server.url}/share/${'A'.repeat(43)}`);
  expect(link.status()).toBe(404);
});
