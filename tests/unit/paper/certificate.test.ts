import { extractText, getDocumentProxy } from 'unpdf';
import { expect, test } from 'vitest';
import { certificateOf } from '#lib/paper/certificate.ts';
import { facesOnDisk } from '#lib/paper/faces-on-disk.ts';
import { contentPdf } from '#lib/paper/front-pdf.ts';

test('the certificate stands on one page, with the four facts of 29 CFR 1910.147(c)(6)(ii)', async () => {
  const pdf = await contentPdf(
    certificateOf({
      no: 7,
      title: 'Electric range: the door lock will not engage',
      checklist: 'range-door-lock',
      revision: 1,
      sha256: 'ab'.repeat(32),
      machine: '=1 <b>Range 4</b>',
      day: '2026-11-20',
      dueDay: '2027-11-20',
      people: ['Rosa Ekdal (made up)', 'Lene Otto (made up)'],
      inspector: 'Ines Vahl',
      found: 'The lock was hung before the plug was out.',
      by: 'Ines Vahl',
      at: Date.UTC(2026, 10, 20),
      digest: 'x'.repeat(43),
    }),
    facesOnDisk(),
  );
  const { totalPages, text } = await extractText(await getDocumentProxy(pdf), { mergePages: true });
  const told = text.replaceAll(/\s+/g, ' ');
  expect(totalPages).toBe(1);
  expect(told).toContain('Machine =1 <b>Range 4</b>');
  expect(told).toContain('Day of the inspection 2026-11-20');
  expect(told).toContain('People whose work was watched Rosa Ekdal (made up); Lene Otto (made up)');
  expect(told).toContain('Inspector Ines Vahl');
});
