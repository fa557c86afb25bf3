/** A whole battery replacement by voice alone in Chromium, served by `npm start` in browser mode. */
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { viewFromLog } from './job-on-disk.ts';
import { beginJob, Home, openChromium } from './programs.ts';
import { Room } from './room.ts';
import { type Served, startBrowserMode } from './served.ts';
import { workByVoice } from './technician.ts';
import { expectNoSoundSent, expectNoSoundWritten, expectWholeJob, report } from './whole-job.ts';

let room: Room;
let home: Home;
let served: Served;
let browser: Browser;
let page: Page;
const requests: string[] = [];
/** What the page told the host, and the bodies of its requests. */
const sent: (string | Buffer)[] = [];
const lines: string[] = [];

beforeAll(async () => {
  room = await Room.open();
  home = new Home();
  served = await startBrowserMode(home);
  browser = await openChromium(room.environment());
  const context = await browser.newContext();
  context.on('request', (request) => requests.push(request.url()));
  page = await context.newPage();
  page.on('websocket', (socket) => socket.on('framesent', ({ payload }) => sent.push(payload)));
  page.on('request', (request) => sent.push(request.postDataBuffer() ?? ''));
  page.on('console', (message) => lines.push(message.text()));
  page.on('pageerror', (fault) => lines.push(`uncaught: ${fault.message}`));
  await page.goto(served.address);
  await page.getByRole('heading', { level: 1 }).first().waitFor();
});
afterAll(async () => {
  await browser?.close();
  await served?.end();
  room?.close();
  home?.remove();
});

describe('a whole job by voice in the browser', () => {
  it('replaces the battery of the water tester, and the log and the times are right', async () => {
    const wall = Date.now();
    const started = performance.now();
    await beginJob(page, /wt-3/i, /battery pack/i);
    const said = await workByVoice({ room, view: () => viewFromLog(home.jobs), seed: 2 });
    report('Chromium', said, started);
    await expectWholeJob(home, room, 'battery-pack');
    expectNoSoundWritten([home.folder], wall);
    expectNoSoundSent(sent);
    expect(
      requests.filter((url) => !/^(http:\/\/127\.0\.0\.1:\d+\/|ws:\/\/127\.0\.0\.1:\d+\/|blob:)/.test(url)),
    ).toEqual([]);
    expect(lines.filter((line) => /Content Security Policy|uncaught|Refused to/.test(line))).toEqual([]);
  });

  it('said in one line that it runs in the browser, and why', () => {
    const said = served.words
      .join('')
      .split('\n')
      .filter((line) => line.includes('127.0.0.1'));
    expect(said).toHaveLength(1);
    expect(said[0]).toMatch(/browser mode was asked for.*http:\/\/127\.0\.0\.1/);
  });
});
