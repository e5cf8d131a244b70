// Playwright's test, with one more promise: a page that complains on its console fails the test.
import { test as base } from '@playwright/test';

export const test = base.extend<{ complaints: string[] }>({
  complaints: [
    async ({ page }, use) => {
      const complaints: string[] = [];
      page.on('console', (message) => {
        if (message.type() === 'error' || message.type() === 'warning')
          complaints.push(message.text());
      });
      page.on('pageerror', (error) => complaints.push(error.message));
      await use(complaints);
      if (complaints.length > 0)
        throw new Error(`The page complained on its console:\n${complaints.join('\n')}`);
    },
    { auto: true },
  ],
});
