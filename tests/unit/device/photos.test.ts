import { expect, test } from 'vitest';
import { hasCamera, openCamera } from '#lib/device/camera.ts';
import { LARGEST_FILE, fitted, metadataIn, preparePhoto } from '#lib/device/photos.ts';
import { BLURRED_BELOW, greyOf, sharpnessOf } from '#lib/device/sharpness.ts';

/** A JPEG of these segments and then a scan: ITU-T T.81 annex B. */
function jpeg(...segments: readonly (readonly [number, string])[]): Uint8Array {
  const bytes = [0xff, 0xd8];
  for (const [marker, text] of segments) {
    const length = text.length + 2;
    const content = [...text].map((letter) => letter.charCodeAt(0));
    bytes.push(0xff, marker, length >> 8, length & 255, ...content);
  }
  return Uint8Array.from([...bytes, 0xff, 0xda, 0, 2, 1, 2, 3, 0xff, 0xd9]);
}

test('a plain JPEG carries nothing; its frame, tables and colour profile are no metadata', () => {
  const plain = jpeg([0xe0, 'JFIF\0'], [0xe2, 'ICC_PROFILE\0…'], [0xdb, 'tables'], [0xc0, 'frame']);
  expect(metadataIn(plain)).toBeNull();
});

test.each([
  ['Exif', 0xe1, 'Exif\0\0'],
  ['XMP', 0xe1, 'http://ns.adobe.com/xap/1.0/\0'],
  ['multi-picture', 0xe2, 'MPF\0'],
  ['IPTC', 0xed, 'Photoshop 3.0\0'],
  ['a comment', 0xfe, 'taken at home'],
])('%s is found', (_, marker, text) => {
  expect(metadataIn(jpeg([0xe0, 'JFIF\0'], [marker, text]))).toMatch(/metadata segment/);
});

test('what is no JPEG, or ends before its picture, is not taken for one without metadata', () => {
  expect(metadataIn(new Uint8Array())).not.toBeNull();
  expect(metadataIn(Uint8Array.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a]))).not.toBeNull();
  expect(metadataIn(jpeg([0xe0, 'JFIF\0']).subarray(0, 9))).not.toBeNull();
});

test.each([
  [4000, 3000, { width: 2048, height: 1536 }],
  [3000, 4000, { width: 1536, height: 2048 }],
  [2048, 2048, { width: 2048, height: 2048 }],
  [640, 480, { width: 640, height: 480 }],
  [100_000, 3, { width: 2048, height: 1 }],
])('%d by %d is fitted and never enlarged', (width, height, size) => {
  expect(fitted(width, height, 2048)).toEqual(size);
});

/** Brightness of a bench seen sharply: stripes of one to four pixels. */
function stripes(side: number): Uint8Array {
  return Uint8Array.from({ length: side * side }, (_, at) =>
    Math.floor((at % side) / (1 + (Math.floor(at / side) % 4))) % 2 === 0 ? 40 : 210,
  );
}

/** The mean over a square around each pixel, as a lens out of focus does. */
function blurred(grey: Uint8Array, side: number, reach: number): Uint8Array {
  return grey.map((_, at) => {
    let sum = 0;
    let count = 0;
    for (let dy = -reach; dy <= reach; dy += 1) {
      for (let dx = -reach; dx <= reach; dx += 1) {
        const x = (at % side) + dx;
        const y = Math.floor(at / side) + dy;
        if (x < 0 || y < 0 || x >= side || y >= side) continue;
        sum += grey[y * side + x] ?? 0;
        count += 1;
      }
    }
    return sum / count;
  });
}

test('the sharpness of a step edge is the variance of its Laplacian, worked by hand', () => {
  // 4 by 3, columns 0 0 100 100: the two inner pixels have Laplacians +100 and -100, variance 10,000.
  expect(
    sharpnessOf(Uint8Array.from([0, 0, 1, 1, 0, 0, 1, 1, 0, 0, 1, 1].map((v) => v * 100)), 4, 3),
  ).toBe(10_000);
  expect(sharpnessOf(new Uint8Array(100).fill(77), 10, 10)).toBe(0);
  expect(sharpnessOf(new Uint8Array(4), 2, 2)).toBe(0);
});

test('the more a picture is blurred the less sharp it measures, down below the question', () => {
  const side = 64;
  const sharp = stripes(side);
  const measured = [0, 1, 2, 4, 8].map((reach) =>
    sharpnessOf(blurred(sharp, side, reach), side, side),
  );
  expect(measured).toEqual([...measured].sort((a, b) => b - a));
  expect(measured[0]).toBeGreaterThan(10 * BLURRED_BELOW);
  expect(measured.at(-1)).toBeLessThan(BLURRED_BELOW);
});

test('grey is the luma of ITU-R BT.601', () => {
  const rgba = Uint8ClampedArray.from([
    255, 0, 0, 255, 0, 255, 0, 255, 0, 0, 255, 255, 255, 255, 255, 255,
  ]);
  // 0.299, 0.587 and 0.114 of 255, and all three together.
  expect([...greyOf(rgba)]).toEqual([76, 149, 29, 255]);
});

test('a file beyond the limit is refused before it is read', async () => {
  const huge = new Blob([]);
  Object.defineProperty(huge, 'size', { value: LARGEST_FILE + 1 });
  expect(await preparePhoto(huge)).toMatchObject({ trouble: { code: 'photo-too-large' } });
});

test.each([
  ['NotAllowedError', 'camera-denied'],
  ['NotFoundError', 'camera-absent'],
  ['OverconstrainedError', 'camera-absent'],
  ['NotReadableError', 'camera-busy'],
])('a camera that answers %s is %s, with a way out', async (name, code) => {
  const getUserMedia = () => Promise.reject(new DOMException('', name));
  const opened = await openCamera({ getUserMedia });
  expect(opened).toMatchObject({ ok: false, trouble: { code } });
  expect(!opened.ok && opened.trouble.says).toMatch(/choose a picture/i);
});

test('no camera port at all is an absent camera', async () => {
  expect(await openCamera(undefined)).toMatchObject({ trouble: { code: 'camera-absent' } });
});

/** A camera whose only track can do this, and the wishes that it was asked for. */
function cameraThat(can: object | undefined, apply: () => Promise<void> = () => Promise.resolve()) {
  const wishes: unknown[] = [];
  const track = {
    ...(can === undefined ? {} : { getCapabilities: () => can }),
    applyConstraints: (wish: unknown) => {
      wishes.push(wish);
      return apply();
    },
    stop: () => wishes.push('stop'),
  };
  const stream = { getVideoTracks: () => [track], getTracks: () => [track] };
  const getUserMedia = () => Promise.resolve(stream as unknown as MediaStream);
  return { getUserMedia, wishes };
}

test('the lamp of a camera is lit by the constraint of the W3C’s Image Capture, where there is one', async () => {
  const port = cameraThat({ torch: true });
  const opened = await openCamera(port);
  if (!opened.ok) throw new Error('not opened');
  expect(opened.value.lamp).toBe(true);
  expect(await opened.value.light(true)).toBe(true);
  expect(await opened.value.light(false)).toBe(true);
  opened.value.stop();
  expect(port.wishes).toEqual([
    { advanced: [{ torch: true }] },
    { advanced: [{ torch: false }] },
    'stop',
  ]);
});

test.each([[{}], [{ torch: false }], [undefined]])(
  'a camera that can do %j has no lamp',
  async (can) => {
    expect(await openCamera(cameraThat(can))).toMatchObject({ ok: true, value: { lamp: false } });
  },
);

test('a lamp that does not answer is said', async () => {
  const opened = await openCamera(cameraThat({ torch: true }, () => Promise.reject(new Error())));
  expect(opened.ok && (await opened.value.light(true))).toBe(false);
});

test('a camera is known of without asking for it', async () => {
  const listed = (...kinds: MediaDeviceKind[]) => ({
    enumerateDevices: () => Promise.resolve(kinds.map((kind) => ({ kind }) as MediaDeviceInfo)),
  });
  expect(await hasCamera(listed('audioinput', 'videoinput'))).toBe(true);
  expect(await hasCamera(listed('audioinput'))).toBe(false);
  expect(await hasCamera({ enumerateDevices: () => Promise.reject(new Error()) })).toBe(false);
  expect(await hasCamera(undefined)).toBe(false);
});
