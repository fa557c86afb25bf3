/**
 * SHA-256 against published values. Inputs: FIPS 180-4 examples and the byte-oriented vectors of NIST's
 * Cryptographic Algorithm Validation Program; digests computed apart with Python's hashlib. The zero blocks
 * at 55 to 64 bytes are the padding edges.
 */
import { createHash } from 'node:crypto';
import { expect, test } from 'vitest';
import { bytesFromText, sha256Hex } from '../../electron/core/log/canonical-json.ts';

test.each([
  ['nothing', '', 'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855'],
  ['abc (FIPS 180-4)', 'abc', 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad'],
  [
    '448 bits (FIPS 180-4)',
    'abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq',
    '248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1',
  ],
  [
    'a million a (FIPS 180-4)',
    'a'.repeat(1_000_000),
    'cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0',
  ],
])('SHA-256 of %s', (_name, text, digest) => {
  expect(sha256Hex(text)).toBe(digest);
});

test.each([
  ['bd', '68325720aabd7c82f30f554b313d0570c95accbb7dc4b5aae11204c08ffe732b'],
  ['c98c8e55', '7abc22c0ae5af26ce93dbb94433a0e0b2e119d014f8e7f65bd56c61ccccd9504'],
  ['00'.repeat(55), '02779466cdec163811d078815c633f21901413081449002f24aa3e80f0b88ef7'],
  ['00'.repeat(56), 'd4817aa5497628e7c77e6b606107042bbba3130888c5f47a375e6179be789fbb'],
  ['00'.repeat(57), '65a16cb7861335d5ace3c60718b5052e44660726da4cd13bb745381b235a1785'],
  ['00'.repeat(64), 'f5a5fd42d16a20302798ef6ed309979b43003d2320d9f0e8ea9831a92759fb4b'],
])('SHA-256 of the bytes %s', (hex, digest) => {
  expect(sha256Hex(Uint8Array.from(Buffer.from(hex, 'hex')))).toBe(digest);
});

test('a chain of three lines, each hashed with the digest before it (values from Python hashlib)', () => {
  const lines = [
    '{"seq":1,"t":"2026-01-01T00:00:00Z","ev":"start"}',
    '{"seq":2,"t":"2026-01-01T00:00:05Z","ev":"step"}',
    '{"seq":3,"t":"2026-01-01T00:00:09Z","ev":"end"}',
  ];
  const digests: string[] = [];
  for (const line of lines) digests.push(sha256Hex(`${digests.at(-1) ?? '0'.repeat(64)}\n${line}`));
  expect(digests).toEqual([
    '50c0cb1de0c12ff6d56afbcfa7468ebde56709dcc9649d88ce88c66131f676c9',
    'c77f99df627a2e1c7f47b7124f67eed4dfc60e6cad20f0408d2801e58130ff31',
    '56aa8c20b8fef2d16c0a0d08fad7b1c8743069285d5143b3bc3bd37be3706bf6',
  ]);
});

test('the pure implementation agrees with the one of the runtime at every length to 300 bytes', () => {
  for (let length = 0; length <= 300; length += 1) {
    const bytes = Uint8Array.from({ length }, (_, index) => (index * 31 + length) & 0xff);
    expect(sha256Hex(bytes)).toBe(createHash('sha256').update(bytes).digest('hex'));
  }
});

test('texts are hashed as UTF-8', () => {
  expect(sha256Hex('é€😂')).toBe(createHash('sha256').update('é€😂', 'utf8').digest('hex'));
  expect([...bytesFromText('€')]).toEqual([0xe2, 0x82, 0xac]);
});
