import type { PointMeans } from '#lib/core/checklist/model.ts';
import * as m from '../paraglide/messages.js';

export const pointMeans: Readonly<Record<PointMeans, () => string>> = {
  breaker: m.point_breaker,
  disconnect: m.point_disconnect,
  fuse: m.point_fuse,
  plug: m.point_plug,
  valve: m.point_valve,
  block: m.point_block,
  battery: m.point_battery,
};
