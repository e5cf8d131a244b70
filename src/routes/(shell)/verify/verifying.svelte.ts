/** One bag being checked on this computer; the verifier is fetched when the first bag is dropped. */
import type { Comparison } from '#lib/core/bag/compare.ts';
import type { ByteSource } from '#lib/core/bag/source.ts';
import type { BagReport } from '#lib/core/bag/summary.ts';
import * as m from '#lib/ui/paraglide/messages.js';

export interface HeldAgainst {
  /** Name of the other file. */
  readonly name: string;
  readonly comparison: Comparison;
  /** The two tell one story, and hold. */
  readonly holds: boolean;
}

export class Verifying {
  report: BagReport | undefined = $state.raw();
  against: HeldAgainst | undefined = $state.raw();
  percent: number | undefined = $state();
  trouble: string | undefined = $state();

  async open(file: File): Promise<void> {
    this.report = undefined;
    this.against = undefined;
    this.report = await this.#verified(file);
  }

  /** Verifies another bag and holds it against the one that is open. */
  async compare(file: File): Promise<void> {
    const first = this.report;
    this.against = undefined;
    if (first === undefined) return;
    const second = await this.#verified(file);
    // Another first bag may have been dropped meanwhile.
    if (second === undefined || first !== this.report) return;
    const { compareBags, holdTogether } = await import('#lib/core/bag/compare.ts');
    const comparison = compareBags(first, second);
    const holds = holdTogether(first, second, comparison);
    this.against = { name: file.name, comparison, holds };
  }

  async #verified(file: File): Promise<BagReport | undefined> {
    this.trouble = undefined;
    this.percent = 0;
    try {
      const { verifyBag } = await import('#lib/core/bag/verify-bag.ts');
      const { webPrimitives } = await import('#lib/crypto/web.ts');
      return await verifyBag(sourceOfFile(file), null, webPrimitives, {
        progress: (done, all) => (this.percent = Math.floor((done / Math.max(1, all)) * 100)),
      });
    } catch (error) {
      // The file went away or the disk failed while it was read; the verifier itself never throws.
      this.trouble = m.verify_unreadable({
        why: error instanceof Error ? error.message : String(error),
      });
      return undefined;
    } finally {
      this.percent = undefined;
    }
  }
}

function sourceOfFile(file: File): ByteSource {
  return {
    size: file.size,
    read: async (offset, length) =>
      new Uint8Array(await file.slice(offset, offset + length).arrayBuffer()),
  };
}
