import { createContext } from 'svelte';
import type { JobDesk } from './job-desk.svelte.ts';

/** The open job, for the pages below; components know it as a desk. */
export const [useJob, provideJob] = createContext<JobDesk>();
