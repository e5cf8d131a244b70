import { sha512 } from '@noble/hashes/sha2.js';
import { describe, expect, it } from 'vitest';
import { keyOfSeed, nodePrimitives } from '#lib/crypto/node.ts';
import { fromHex, hex, utf8 } from '#lib/core/record/bytes.ts';
import { checkedKey, checkedSignature, verifyStrictly } from '#lib/core/record/ed25519.ts';
import type { Primitives } from '#lib/core/record/primitives.ts';
import { purePrimitives } from '#lib/core/record/pure-primitives.ts';

const bytes = (text: string): Uint8Array => fromHex(text) ?? new Uint8Array();
const platforms: readonly [string, Primitives][] = [
  ['plain arithmetic', purePrimitives],
  ['Node', nodePrimitives],
];

// RFC 8032 section 7.1: TEST 1, 2, 3 and SHA(abc); the last from memory of the RFC.
const published = [
  {
    secret: '9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60',
    key: 'd75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a',
    message: '',
    signature:
      'e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b',
  },
  {
    secret: '4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb',
    key: '3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c',
    message: '72',
    signature:
      '92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00',
  },
  {
    secret: 'c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7',
    key: 'fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025',
    message: 'af82',
    signature:
      '6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a',
  },
  {
    secret: '833fe62409237b9d62ec77587520911e9a759cec1d19755b7da901b96dca3d42',
    key: 'ec172b93ad5e563bf4932c70e1245034c35467ef2efd4d64ebf819683467e2bf',
    message: hex(sha512(utf8('abc'))),
    signature:
      'dc2a4459e7369633a52b1bf277839a00201009a3efbf3ecb69bea2186c26b58909351fc9ac90b3ecfdfbc7c66431e0303dca179c138ac17ad9bef1177331a704',
  },
];

describe.each(published)('the published signature of key $key', (vector) => {
  it('is made byte for byte from its secret', async () => {
    const key = keyOfSeed(bytes(vector.secret));
    expect(hex(key.publicKey)).toBe(vector.key);
    expect(hex(await key.sign(bytes(vector.message)))).toBe(vector.signature);
  });

  it.each(platforms)(
    'stands on %s, and no longer after any one flipped byte',
    async (_, platform) => {
      const stands = (message: Uint8Array, signature: Uint8Array): boolean | Promise<boolean> =>
        verifyStrictly(platform, bytes(vector.key), message, signature);
      const [message, signature] = [bytes(vector.message), bytes(vector.signature)];
      expect(await stands(message, signature)).toBe(true);
      for (let at = 0; at < 64; at += 7) {
        const spoilt = signature.slice();
        spoilt[at] = (spoilt[at] ?? 0) ^ 1;
        expect(await stands(message, spoilt)).toBe(false);
      }
      expect(await stands(new Uint8Array([...message, 0]), signature)).toBe(false);
    },
  );
});

describe('keys that nobody may enrol', () => {
  // C2SP/CCTV ed25519/README.md: the eight points of small order and their other spellings.
  const smallOrder = [
    '0000000000000000000000000000000000000000000000000000000000000000',
    'edffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff7f',
    '0000000000000000000000000000000000000000000000000000000000000080',
    'edffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff',
    '0100000000000000000000000000000000000000000000000000000000000000',
    '0100000000000000000000000000000000000000000000000000000000000080',
    'eeffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff7f',
    'eeffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff',
    '26e8958fc2b227b045c3f489f2ef98f0d5dfac05d3c63339b13802886d53fc05',
    '26e8958fc2b227b045c3f489f2ef98f0d5dfac05d3c63339b13802886d53fc85',
    'c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac037a',
    'c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac03fa',
    'ecffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff7f',
    'ecffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff',
  ];
  it.each(smallOrder)('of small order: %s', (key) => {
    expect(checkedKey(bytes(key))).toMatchObject({ ok: false, flaw: { code: 'bad-key' } });
  });

  it.each(smallOrder)('and no signature may hold one as its R: %s', (r) => {
    const signature = bytes(r + '01'.padEnd(64, '0'));
    expect(checkedSignature(signature)).toMatchObject({
      ok: false,
      flaw: { code: 'bad-signature' },
    });
  });

  it.each([
    // y = 2 gives x^2 = 3 / (4d + 1), which is no square (also refused by the registry library).
    ['off the curve', `02${'00'.repeat(31)}`],
    ['y beyond p', `f0${'ff'.repeat(30)}7f`],
    ['31 bytes', '00'.repeat(31)],
    ['33 bytes', `${published[0]?.key}00`],
    ['nothing', ''],
  ])('%s', (_, key) => {
    expect(checkedKey(bytes(key)).ok).toBe(false);
  });
});

describe('published edge cases of verification', () => {
  // novifinancial/ed25519-speccheck cases.json, numbered as there. Cases that turn on the cofactor
  // (4, 5) must fail here as on every platform that compares encodings.
  const cases: readonly [number, string, string, string, boolean][] = [
    [
      0,
      '8c93255d71dcab10e8f379c26200f3c7bd5f09d9bc3068d3ef4edeb4853022b6',
      'c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac03fa',
      'c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac037a0000000000000000000000000000000000000000000000000000000000000000',
      false,
    ],
    [
      1,
      '9bd9f44f4dcc75bd531b56b2cd280b0bb38fc1cd6d1230e14861d861de092e79',
      'c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac03fa',
      'f7badec5b8abeaf699583992219b7b223f1df3fbbea919844e3f7c554a43dd43a5bb704786be79fc476f91d3f3f89b03984d8068dcf1bb7dfc6637b45450ac04',
      false,
    ],
    [
      2,
      'aebf3f2601a0c8c5d39cc7d8911642f740b78168218da8471772b35f9d35b9ab',
      'f7badec5b8abeaf699583992219b7b223f1df3fbbea919844e3f7c554a43dd43',
      'c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac03fa8c4bd45aecaca5b24fb97bc10ac27ac8751a7dfe1baff8b953ec9f5833ca260e',
      false,
    ],
    [
      3,
      '9bd9f44f4dcc75bd531b56b2cd280b0bb38fc1cd6d1230e14861d861de092e79',
      'cdb267ce40c5cd45306fa5d2f29731459387dbf9eb933b7bd5aed9a765b88d4d',
      '9046a64750444938de19f227bb80485e92b83fdb4b6506c160484c016cc1852f87909e14428a7a1d62e9f22f3d3ad7802db02eb2e688b6c52fcd6648a98bd009',
      true,
    ],
    [
      4,
      'e47d62c63f830dc7a6851a0b1f33ae4bb2f507fb6cffec4011eaccd55b53f56c',
      'cdb267ce40c5cd45306fa5d2f29731459387dbf9eb933b7bd5aed9a765b88d4d',
      '160a1cb0dc9c0258cd0a7d23e94d8fa878bcb1925f2c64246b2dee1796bed5125ec6bc982a269b723e0668e540911a9a6a58921d6925e434ab10aa7940551a09',
      false,
    ],
    [
      5,
      'e47d62c63f830dc7a6851a0b1f33ae4bb2f507fb6cffec4011eaccd55b53f56c',
      'cdb267ce40c5cd45306fa5d2f29731459387dbf9eb933b7bd5aed9a765b88d4d',
      '21122a84e0b5fca4052f5b1235c80a537878b38f3142356b2c2384ebad4668b7e40bc836dac0f71076f9abe3a53f9c03c1ceeeddb658d0030494ace586687405',
      false,
    ],
    [
      6,
      '85e241a07d148b41e47d62c63f830dc7a6851a0b1f33ae4bb2f507fb6cffec40',
      '442aad9f089ad9e14647b1ef9099a1ff4798d78589e66f28eca69c11f582a623',
      'e96f66be976d82e60150baecff9906684aebb1ef181f67a7189ac78ea23b6c0e547f7690a0e2ddcd04d87dbc3490dc19b3b3052f7ff0538cb68afb369ba3a514',
      false,
    ],
    [
      7,
      '85e241a07d148b41e47d62c63f830dc7a6851a0b1f33ae4bb2f507fb6cffec40',
      '442aad9f089ad9e14647b1ef9099a1ff4798d78589e66f28eca69c11f582a623',
      '8ce5b96c8f26d0ab6c47958c9e68b937104cd36e13c33566acd2fe8d38aa19427e71f98a473474f2f13f06f97c20d58cc3f54b8bd0d272f42b695dd7e89a8c22',
      false,
    ],
    [
      8,
      'fdaebc429f4a735932a160da1301080c13280eea8bc280d1b392c6b9e6ba3a5a',
      'f7badec5b8abeaf699583992219b7b223f1df3fbbea919844e3f7c554a43dd43',
      'edffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff7f454d370c8d9fc323a41450f8d513eafeb5b0697390c1e505a0d4ddc71f566607',
      false,
    ],
    [
      9,
      '84b698d39be126ff55fe45079e6c8bf64a0d7db6994560b4e96b7021eb39c1a1',
      'f7badec5b8abeaf699583992219b7b223f1df3fbbea919844e3f7c554a43dd43',
      'edffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff7f084d5b99c2a9463d9c8bd5026916996984eeec87ddf1d3be329006ace1b37b09',
      false,
    ],
    // C2SP/CCTV ed25519vectors.json 7, 29 (low-order components that cancel) and 6, 28 (that do not).
    ...(
      [
        [
          'ed25519vectors',
          '36684ea91032ba5b1dbab2d02f4debc74c3327f2b3802e2e4d371aa42b12b56bbbfd00bd9c259d8d222d15e67a3d8228585050dbb9b9585be20d8fadc721da03',
          7,
          true,
        ],
        [
          'ed25519vectors 2',
          'b797b156efcd45a4e2454d2fd0b21438b3ccd80d4c7fd1d1b2c8e55bd4ed4a94732d9e0279fe001d90327efa319816e3e4506b78432b8b4e1f2fdc4b960d700f',
          29,
          true,
        ],
        [
          'ed25519vectors 10',
          '36684ea91032ba5b1dbab2d02f4debc74c3327f2b3802e2e4d371aa42b12b56bc02e2b9e63e385c058bf62b14b3a2b29ccefe8e38ddb536bc3f9865320a3d801',
          6,
          false,
        ],
        [
          'ed25519vectors 9',
          'b797b156efcd45a4e2454d2fd0b21438b3ccd80d4c7fd1d1b2c8e55bd4ed4a94639734cf989e314e9e049fc01a3864d191fed8f231b12fee6fa50aaadba44b0e',
          28,
          false,
        ],
      ] as const
    ).map(([message, signature, number, stands]): [number, string, string, string, boolean] => [
      100 + number,
      hex(utf8(message)),
      '10eb7c3acfb2bed3e0d6ab89bf5a3d6afddd1176ce4812e38d9fd485058fdb1f',
      signature,
      stands,
    ]),
  ];

  describe.each(platforms)('on %s', (_, platform) => {
    it.each(cases)('case %i', async (_number, message, key, signature, stands) => {
      expect(await verifyStrictly(platform, bytes(key), bytes(message), bytes(signature))).toBe(
        stands,
      );
    });
  });
});
