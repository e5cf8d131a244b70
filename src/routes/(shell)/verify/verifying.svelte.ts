/** One bag being checked on this computer; the verifier is fetched when the first bag is dropped. */
import type { ByteSource } from '#lib/core/bag/source.ts';
import type { BagReport } from '#lib/core/bag/summary.ts';
import * as m from '#lib/ui/paraglide/messages.js';

export class Verifying {
  report: BagReport | undefined = $state.raw();
  percent: number | undefined = $state();
  trouble: string | undefined = $state();

  async open(file: File): Promise<void> {
    this.report = undefined;
    this.trouble = undefined;
    this.percent = 0;
    try {
      const { verifyBag } = await import('#lib/core/bag/verify-bag.ts');
      const { webPrimitives } = await import('#lib/crypto/web.ts');
      this.report = await verifyBag(sourceOfFile(file), null, webPrimitives, {
        progress: (done, all) => (this.percent = Math.floor((done / Math.max(1, all)) * 100)),
      });
    } catch (error) {
      // The file went away or the disk failed while it was read; the verifier itself never throws.
      this.trouble = m.verify_unreadable({
        why: error instanceof Error ? error.message : String(error),
      });
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
