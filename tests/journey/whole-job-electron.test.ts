/**
 * A whole battery replacement by voice alone in Electron, by ear alone: from the start of the job on the window
 * is hidden. Microphone to log and back to the loudspeaker.
 */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { beginJob, Home, type Opened, openElectron, viewThroughPage } from './programs.ts';
import { Room } from './room.ts';
import { workByVoice } from './technician.ts';
import { expectNoSoundWritten, expectWholeJob, report } from './whole-job.ts';

let room: Room;
let home: Home;
let opened: Opened;
const requests: string[] = [];

beforeAll(async () => {
  room = await Room.open();
  home = new Home();
  opened = await openElectron(home, room.environment());
  opened.page.context().on('request', (request) => requests.push(request.url()));
});
afterAll(async () => {
  await opened?.app.close();
  room?.close();
  home?.remove();
});

const isAnyWindowSeen = (): Promise<boolean> =>
  opened.app.evaluate(({ BrowserWindow }) => BrowserWindow.getAllWindows().some((one) => one.isVisible()));

describe('a whole job by voice in Electron', () => {
  it('replaces the battery of the water tester, and the log and the times are right', async () => {
    const { page } = opened;
    const wall = Date.now();
    const started = performance.now();
    await beginJob(page, /wt-3/i, /battery pack/i);
    const awake = await opened.app.evaluate(({ BrowserWindow, powerSaveBlocker }) => {
      BrowserWindow.getAllWindows()[0]?.hide();
      return [0, 1].some((id) => powerSaveBlocker.isStarted(id));
    });
    expect(awake).toBe(true);
    const said = await workByVoice({ room, view: () => viewThroughPage(page), seed: 1 });
    report('Electron', said, started);
    expect(await isAnyWindowSeen()).toBe(false);
    await expectWholeJob(home, room, 'battery-pack');
    expectNoSoundWritten([home.folder], wall);
    // Nothing was asked of anybody but ourselves, and no policy was broken on the way.
    expect(requests.filter((url) => !/^(app|blob):/.test(url))).toEqual([]);
    expect(opened.console.filter((line) => /Content Security Policy|uncaught|Refused to/.test(line))).toEqual(
      [],
    );
    expect(
      opened.words
        .join('')
        .split('\n')
        .filter((line) => line.startsWith('stepcaller:')),
    ).toEqual([]);
  });
});
