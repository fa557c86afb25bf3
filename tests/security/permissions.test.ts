import { describe, expect, it } from 'vitest';
import { isBenchFrame } from '../../electron/ipc/sender.ts';
import { ALLOWED_PERMISSIONS, isPermitted, originOf } from '../../electron/permissions.ts';

/** Every permission that Electron's documentation names for its two handlers, and two that do not exist. */
const PERMISSIONS = [
  'clipboard-read',
  'clipboard-sanitized-write',
  'display-capture',
  'fullscreen',
  'geolocation',
  'idle-detection',
  'media',
  'mediaKeySystem',
  'midi',
  'midiSysex',
  'notifications',
  'pointerLock',
  'keyboardLock',
  'openExternal',
  'speaker-selection',
  'storage-access',
  'top-level-storage-access',
  'window-management',
  'unknown',
  'fileSystem',
  'hid',
  'serial',
  'usb',
  'background-sync',
  'accessibility-events',
  'made-up',
  '__proto__',
];

describe('permission table', () => {
  it('has one line: the microphone for the page that listens, with a reason', () => {
    expect(
      ALLOWED_PERMISSIONS.map(({ permission, origin, media }) => ({ permission, origin, media })),
    ).toEqual([{ permission: 'media', origin: 'app://ears', media: 'audio' }]);
    expect(ALLOWED_PERMISSIONS.every((line) => line.reason.length > 40)).toBe(true);
  });

  it('grants the microphone to the ears page', () => {
    expect(isPermitted({ permission: 'media', origin: 'app://ears/', media: ['audio'] })).toBe(true);
    expect(isPermitted({ permission: 'media', origin: 'app://ears/ears/ears.html', media: ['audio'] })).toBe(
      true,
    );
  });

  it('denies every other permission, also to the ears page', () => {
    for (const permission of PERMISSIONS.filter((name) => name !== 'media')) {
      for (const origin of ['app://ears', 'app://bench']) {
        expect(isPermitted({ permission, origin, media: ['audio'] }), permission).toBe(false);
      }
    }
  });

  it('denies the camera, alone or together with the microphone, and capture of no named kind', () => {
    for (const media of [['video'], ['audio', 'video'], ['screen'], ['unknown'], []]) {
      expect(isPermitted({ permission: 'media', origin: 'app://ears', media })).toBe(false);
    }
  });

  const origins = [
    'app://bench',
    'app://ears.example',
    'app://ears@bench',
    'app://bench/ears',
    'app://bench?app://ears',
    'app://ears:8080',
    'https://ears',
    'http://app//ears',
    'file:///ears',
    'null',
    '',
    'about:blank',
    'data:text/html,app://ears',
    'not an address',
  ];
  for (const origin of origins) {
    it(`denies the microphone to ${origin || 'an empty origin'}`, () => {
      expect(isPermitted({ permission: 'media', origin, media: ['audio'] })).toBe(false);
    });
  }

  it('denies where Electron names no origin', () => {
    expect(isPermitted({ permission: 'media', origin: undefined, media: ['audio'] })).toBe(false);
  });
});

describe('sender of a message', () => {
  it('accepts the top frame of the bench and nothing else', () => {
    expect(isBenchFrame({ url: 'app://bench/', isTop: true })).toBe(true);
    expect(isBenchFrame({ url: 'app://bench/#plan', isTop: true })).toBe(true);
    expect(isBenchFrame({ url: 'app://bench/', isTop: false })).toBe(false);
    expect(isBenchFrame(null)).toBe(false);
    expect(isBenchFrame(undefined)).toBe(false);
  });

  for (const url of [
    'app://ears/',
    'app://bench.example/',
    'app://bench@evil/',
    'app://evil/app://bench/',
    'apps://bench/',
    'file:///app/bench',
    'https://bench/',
    'about:blank',
    '',
    'javascript:app://bench/',
  ]) {
    it(`refuses ${url || 'an empty address'}`, () => {
      expect(isBenchFrame({ url, isTop: true })).toBe(false);
    });
  }

  it('reads addresses with a parser', () => {
    expect(originOf('app://BENCH/x')).toBe('app://BENCH');
    expect(originOf('https://a:b@bench/')).toBeUndefined();
  });
});
