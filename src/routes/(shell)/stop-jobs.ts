/** What down tools and “someone is hurt” act on from a screen that is no job's own. */
import type { Device, JobListing } from '#lib/device/device.ts';
import type { Submitted } from '#lib/ui/desk.ts';
import { stops, type StopJob, type StopsKnow } from '#lib/ui/stops.svelte.ts';
import { page } from '$app/state';
import { remembered, thisDevice } from './this-device.ts';

const OVER = ['handedBack', 'refused', 'evidenceHold'];

/** Looked up at the touch. The job of the page comes alone: it is the one at hand. */
export async function lookAround(): Promise<StopsKnow> {
  const lastPlace = remembered('place', '');
  const atHand = ofDesk();
  if (atHand !== undefined) return { jobs: [atHand], lastPlace };
  const device = await thisDevice();
  const listed = device.ok ? await device.value.listJobs() : device;
  if (!device.ok || !listed.ok) return { jobs: [], lastPlace };
  const jobs = listed.value
    .filter(({ status }) => !OVER.includes(status))
    .toSorted((a, b) => Date.parse(b.lastAt) - Date.parse(a.lastAt))
    .map((row) => ofRow(device.value, row));
  return { jobs, lastPlace };
}

function ofDesk(): StopJob | undefined {
  const { desk } = stops;
  if (desk === undefined) return undefined;
  return {
    id: page.params['id'] ?? '',
    name: desk.site === '' ? desk.checklist.title : desk.site,
    site: desk.site,
    atWork: desk.view.status === 'atWork',
    stop: async (why) => notStored(await desk.submit({ command: 'downTools', why })),
  };
}

function ofRow(device: Device, row: JobListing): StopJob {
  return {
    id: row.job,
    name: row.site === undefined ? row.title : `${row.title}, ${row.site}`,
    ...(row.site === undefined ? {} : { site: row.site }),
    atWork: row.status === 'atWork',
    stop: async (why) => {
      const opened = await device.openJob(row.job);
      if (!opened.ok) return opened.trouble.says;
      const session = opened.value;
      // Stopping waits for nobody: a tab that holds the job has to let go of it.
      if (session.writer !== 'writing') await session.takeOver();
      const stopped = await session.submit({ command: 'downTools', why });
      session.close();
      return notStored(stopped);
    },
  };
}

function notStored({ accepted, refusals, trouble }: Submitted): string | undefined {
  if (accepted && trouble === undefined) return undefined;
  return trouble?.says ?? refusals[0]?.says ?? '';
}
