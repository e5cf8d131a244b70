/** What a page or an export was asked to show, from its address. */
import type { JobFilter } from '../overview/job-list.ts';
import { dayIn, isMadeUp } from './crew.ts';

export function jobFilterOf(url: URL): JobFilter {
  const text = (name: string): string => url.searchParams.get(name) ?? '';
  return {
    demo: isMadeUp(url),
    text: text('q'),
    status: text('state'),
    from: dayIn(url, 'from', false),
    until: dayIn(url, 'until', true),
    after: text('after'),
  };
}
