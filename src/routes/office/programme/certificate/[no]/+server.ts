import { error } from '@sveltejs/kit';
import { certificateOf } from '#lib/paper/certificate.ts';
import { facesOnDisk } from '#lib/paper/faces-on-disk.ts';
import { contentPdf } from '#lib/paper/front-pdf.ts';
import { house } from '#lib/server/house.ts';
import { inspections } from '#lib/server/programme/inspections.ts';
import { allowed } from '#lib/server/web/office-request.ts';
import type { RequestHandler } from './$types';

export const GET: RequestHandler = async ({ locals, params }) => {
  allowed(locals, 'look');
  const no = /^\d{1,9}$/.test(params.no) ? Number(params.no) : 0;
  const [inspection] = await inspections(house().database.rows, no);
  if (inspection === undefined)
    error(404, { message: 'There is no such inspection here.', code: 'no-inspection' });
  const pdf = await contentPdf(certificateOf(inspection), facesOnDisk());
  return new Response(pdf as Uint8Array<ArrayBuffer>, {
    headers: {
      'Content-Type': 'application/pdf',
      'Content-Disposition': `attachment; filename="inspection-${no}.pdf"`,
      'Cache-Control': 'no-store',
    },
  });
};
