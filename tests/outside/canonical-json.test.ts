/**
 * Canonical JSON against RFC 8785. The structures are the test data of the RFC's author
 * (cyberphone/json-canonicalization, commit 19d51d7, files arrays, structures, values, french, unicode, weird;
 * inputs retyped from the canonical outputs), digests computed apart with Python's rfc8785 0.1.4. The numbers
 * are those of the RFC's Appendix B, retyped from memory and each checked with an independent runtime.
 */
import { expect, test } from 'vitest';
import {
  canonicalJson,
  hasLoneSurrogate,
  sha256Hex,
  textFromBytes,
} from '../../electron/core/log/canonical-json.ts';

const structures = {
  '1': { f: { f: 'hi', F: 5 }, '\n': 56.0 },
  '10': {},
  '': 'empty',
  a: {},
  '111': [{ e: 'yes', E: 'no' }],
  A: {},
};
const values = {
  numbers: [Number('333333333.33333329'), 1e30, 4.5, 2e-3, 0.000000000000000000000000001],
  string: '\u20ac$\u000F\u000aA\'\u0042\u0022\u005c\\"/',
  literals: [null, true, false],
};

test.each([
  [
    'arrays',
    [56, { d: true, '10': null, '1': [] }],
    '[56,{"1":[],"10":null,"d":true}]',
    '099601b1',
    'beac42',
  ],
  [
    'structures',
    structures,
    '{"":"empty","1":{"\\n":56,"f":{"F":5,"f":"hi"}},"10":{},"111":[{"E":"no","e":"yes"}],"A":{},"a":{}}',
    '605f6500',
    '3195d5',
  ],
  [
    'values',
    values,
    '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}',
    '2d5e01a3',
    '8baacb',
  ],
])('%s: canonical text and its digest', (_name, value, text, digestStart, digestEnd) => {
  expect(canonicalJson(value)).toBe(text);
  const digest = sha256Hex(canonicalJson(value));
  expect([digest.slice(0, 8), digest.slice(-6)]).toEqual([digestStart, digestEnd]);
});

test('french: names are ordered by code units, not by a language', () => {
  const value = { péché: 1, pêche: 2, sin: 3, peach: 4 };
  expect(Object.keys(JSON.parse(canonicalJson(value)) as object)).toEqual(['peach', 'péché', 'pêche', 'sin']);
});

test('unicode: nothing is normalised', () => {
  expect(canonicalJson({ 'Unnormalized Unicode': 'A\u030a' })).toBe('{"Unnormalized Unicode":"A\u030a"}');
  expect(canonicalJson('\u00c5')).not.toBe(canonicalJson('A\u030a'));
});

test('weird: an emoji, two code units from D83D, comes before U+FB33', () => {
  const names = ['\u20ac', '\r', '\ufb33', '1', '\ud83d\ude02', '\u0080', '\u00f6', '</script>', '\n'];
  const value = Object.fromEntries(names.map((name) => [name, 0]));
  const text = canonicalJson(value);
  const order = ['\\n', '\\r', '1', '</script>', '\u0080', '\u00f6', '\u20ac', '\ud83d\ude02', '\ufb33'];
  expect(text).toBe(`{${order.map((name) => `"${name}":0`).join(',')}}`);
});

/** IEEE 754 bits in hexadecimal and the number's one spelling. */
test.each([
  ['0000000000000000', '0'],
  ['8000000000000000', '0'],
  ['0000000000000001', '5e-324'],
  ['8000000000000001', '-5e-324'],
  ['7fefffffffffffff', '1.7976931348623157e+308'],
  ['4340000000000000', '9007199254740992'],
  ['4430000000000000', '295147905179352830000'],
  ['44b52d02c7e14af5', '9.999999999999997e+22'],
  ['44b52d02c7e14af6', '1e+23'],
  ['44b52d02c7e14af7', '1.0000000000000001e+23'],
  ['444b1ae4d6e2ef4e', '999999999999999700000'],
  ['444b1ae4d6e2ef4f', '999999999999999900000'],
  ['444b1ae4d6e2ef50', '1e+21'],
  ['3eb0c6f7a0b5ed8c', '9.999999999999997e-7'],
  ['3eb0c6f7a0b5ed8d', '0.000001'],
  ['41b3de4355555553', '333333333.3333332'],
  ['41b3de4355555554', '333333333.33333325'],
  ['41b3de4355555555', '333333333.3333333'],
  ['41b3de4355555556', '333333333.3333334'],
  ['41b3de4355555557', '333333333.33333343'],
  ['becbf647612f3696', '-0.0000033333333333333333'],
  ['43143ff3c1cb0959', '1424953923781206.2'],
])('the number %s is spelled %s', (bits, text) => {
  const number = Buffer.from(bits, 'hex').readDoubleBE();
  expect(canonicalJson(number)).toBe(text);
});

test('what JSON cannot say is refused', () => {
  const impossible = [
    Number.NaN,
    Number.POSITIVE_INFINITY,
    [Number.NEGATIVE_INFINITY],
    '\ud800',
    'a\udc00b',
    { '\ud83d': 1 },
    undefined,
    () => 1,
  ];
  for (const value of impossible) expect(() => canonicalJson(value)).toThrow();
  expect(canonicalJson('\ud83d\ude02')).toBe('"\ud83d\ude02"');
  // A text that only looks like the escape of half a pair is an ordinary text.
  expect(canonicalJson('\\ud800')).toBe('"\\\\ud800"');
});

test('half a pair is found wherever it stands', () => {
  expect(hasLoneSurrogate('a😂b')).toBe(false);
  for (const text of ['\ud800', 'a\ud83d', '\ude02\ud83d', '😂\udc00'])
    expect(hasLoneSurrogate(text)).toBe(true);
});

test('UTF-8 is read strictly (RFC 3629: no overlong forms, no surrogates, nothing above U+10FFFF)', () => {
  const read = (hex: string): string | undefined => textFromBytes(Uint8Array.from(Buffer.from(hex, 'hex')));
  expect(read('')).toBe('');
  expect(read('2525e282acf09f9882')).toBe('%%€😂');
  for (const bad of ['80', 'c0af', 'e08080', 'eda080', 'f4908080', 'e282', 'ff', 'c3']) {
    expect(read(bad), bad).toBeUndefined();
  }
});
