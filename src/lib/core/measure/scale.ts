/**
 * Where a reading, its interval and its limit lie on a drawn scale, as parts from 0 (left) to 1 (right).
 * Logarithmic when the figures span more than fiftyfold (insulation, open contacts), else linear.
 */
export interface ScaleInput {
  readonly net: number | null;
  readonly low: number | null;
  /** Null with a `low` or `net`: no upper end, as for OL. */
  readonly high: number | null;
  readonly least: number | null;
  readonly most: number | null;
}

export interface Scale {
  readonly logarithmic: boolean;
  readonly from: number;
  readonly to: number;
  readonly ticks: readonly { readonly at: number; readonly value: number }[];
  readonly net: number | null;
  /** The band of uncertainty. */
  readonly band: { readonly from: number; readonly to: number } | null;
  /** What is accepted; reaches an end of the scale where the limit is open. */
  readonly accepted: { readonly from: number; readonly to: number } | null;
  /** The reading goes on beyond the right end. */
  readonly beyond: boolean;
}

/** Null when there is nothing to draw: no figure and no limit. */
export function scaleOf(given: ScaleInput): Scale | null {
  const input: ScaleInput = {
    net: settled(given.net),
    low: settled(given.low),
    high: settled(given.high),
    least: settled(given.least),
    most: settled(given.most),
  };
  const figures = [input.net, input.low, input.high, input.least, input.most].filter(
    (each): each is number => each !== null && Number.isFinite(each),
  );
  if (figures.length === 0) return null;
  const logarithmic = spansFifty(figures);
  const [from, to] = logarithmic ? decades(figures) : roomAround(figures);
  const place = (value: number) => placeOn(value, from, to, logarithmic);
  const { least, most, low, high, net } = input;
  const beyond = high === null && (low !== null || net === null) && figures.length > 0;
  return {
    logarithmic,
    from,
    to,
    ticks: ticksOn(from, to, logarithmic).map((value) => ({ at: place(value), value })),
    net: net === null ? null : place(net),
    band:
      low === null && high === null
        ? null
        : { from: place(low ?? from), to: high === null ? 1 : place(high) },
    accepted:
      least === null && most === null
        ? null
        : { from: least === null ? 0 : place(least), to: most === null ? 1 : place(most) },
    beyond,
  };
}

/** Residues of arithmetic around zero are zero: no scale has room for them. */
function settled(figure: number | null): number | null {
  return figure !== null && Math.abs(figure) < 1e-30 ? 0 : figure;
}

function spansFifty(figures: readonly number[]): boolean {
  if (figures.some((each) => each < 0)) return false;
  const above = figures.filter((each) => each > 0);
  return above.length > 1 && Math.max(...above) / Math.min(...above) > 50;
}

function decades(figures: readonly number[]): [number, number] {
  const above = figures.filter((each) => each > 0);
  const from = 10 ** Math.floor(Math.log10(Math.min(...above)));
  const to = 10 ** Math.ceil(Math.log10(Math.max(...above)) + 0.2);
  return [from, to];
}

/** A linear scale starts at zero when the figures allow, and leaves a fifth of room on the right. */
function roomAround(figures: readonly number[]): [number, number] {
  const most = Math.max(...figures);
  const least = Math.min(...figures);
  const nearZero = least >= 0 && least <= most * 0.6;
  const width = nearZero ? most : most - least;
  // Figures all alike have no width of their own; below this the steps would vanish in rounding.
  const span = width > Math.abs(most) * 1e-9 && width > 1e-12 ? width : Math.abs(most) || 1;
  return [nearZero ? 0 : least - span * 0.2, most + Math.max(span, 1e-9) * 0.2];
}

function placeOn(value: number, from: number, to: number, logarithmic: boolean): number {
  const part = logarithmic
    ? (Math.log10(Math.max(value, from)) - Math.log10(from)) / (Math.log10(to) - Math.log10(from))
    : (value - from) / (to - from);
  return Math.min(1, Math.max(0, part));
}

function ticksOn(from: number, to: number, logarithmic: boolean): number[] {
  const ticks: number[] = [];
  if (logarithmic) {
    const [first, last] = [Math.round(Math.log10(from)), Math.round(Math.log10(to))];
    const every = Math.max(1, Math.ceil((last - first) / 6));
    for (let power = first; power <= last; power += every) ticks.push(Number(`1e${power}`));
    return ticks;
  }
  const step = roundStep((to - from) / 5);
  for (let index = Math.ceil(from / step - 1e-9); index * step <= to + step * 1e-9; index += 1) {
    ticks.push(Number((index * step).toPrecision(12)));
  }
  return ticks;
}

/** The nearest of 1, 2 or 5 times a power of ten at or above a width. */
function roundStep(width: number): number {
  const power = 10 ** Math.floor(Math.log10(width));
  const share = width / power;
  return power * (share <= 1 ? 1 : share <= 2 ? 2 : share <= 5 ? 5 : 10);
}
