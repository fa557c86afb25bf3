/** What a user does first: `npm start`, with a runtime and a display, and without. */
import { spawn } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { makeSequence, writeRecording } from '../sound/recording.ts';
import { installedVoices } from '../sound/voices.ts';
import { theJob } from './job-on-disk.ts';
import { beginJob, ELECTRON, Home, onTheBench, openChromium, openElectron, ROOT } from './programs.ts';
import { endGroup, startBrowserMode } from './served.ts';

const endings: (() => unknown)[] = [];
afterEach(async () => {
  for (const end of endings.splice(0).reverse()) await end();
});
function newHome(settings = {}): Home {
  const home = new Home(settings);
  endings.push(() => home.remove());
  return home;
}

describe('npm start', () => {
  it('opens the window where there is a runtime and a display', async () => {
    const home = newHome();
    const child = spawn('npm', ['start'], {
      cwd: ROOT,
      env: {
        ...process.env,
        ELECTRON_EXEC_PATH: ELECTRON,
        STEPCALLER_HOME: home.folder,
        STEPCALLER_NO_OPEN: '1',
        ...(process.getuid?.() === 0 ? { STEPCALLER_NO_SANDBOX: '1' } : {}),
      },
      stdio: ['ignore', 'pipe', 'pipe'],
      detached: true,
    });
    let words = '';
    child.stdout.on('data', (chunk) => {
      words += String(chunk);
    });
    endings.push(() => endGroup(child));
    await expect.poll(() => words, { timeout: 120_000 }).toContain('opening the window');
    // It stays open: no fall back to the browser within the time in which a failed start would show.
    await new Promise((resolve) => setTimeout(resolve, 6000));
    expect(child.exitCode).toBeNull();
    expect(words).not.toContain('127.0.0.1');
  });

  it('serves the browser where the runtime ends at once, and says why', async () => {
    const home = newHome();
    const broken = join(home.folder, 'electron');
    writeFileSync(broken, '#!/bin/sh\nexit 127\n', { mode: 0o755 });
    const served = await startBrowserMode(home, { STEPCALLER_BROWSER: '', ELECTRON_EXEC_PATH: broken });
    endings.push(() => served.end());
    expect(served.words.join('')).toContain('Electron ended at once (code 127), so it runs in the browser');
  });

  it('serves the browser where there is no display', async () => {
    const served = await startBrowserMode(newHome(), {
      STEPCALLER_BROWSER: '',
      DISPLAY: '',
      WAYLAND_DISPLAY: '',
    });
    endings.push(() => served.end());
    expect(served.words.join('')).toContain('there is no display, so it runs in the browser');
  });

  it('goes on in the browser when the page is loaded again, and another window takes over', async () => {
    const served = await startBrowserMode(newHome());
    endings.push(() => served.end());
    const browser = await openChromium({ PULSE_SERVER: 'unix:/nowhere' });
    endings.push(() => browser.close());
    const context = await browser.newContext();
    const page = await context.newPage();
    await page.goto(served.address);
    await beginJob(page, /wt-3/i, /battery pack/i);
    await page.reload();
    await onTheBench(page);
    // The address worked once; the cookie goes on working.
    expect((await page.goto(served.address))?.status()).toBe(200);
    await onTheBench(page);
    const stranger = await browser.newContext();
    expect((await (await stranger.newPage()).goto(served.address))?.status()).toBe(403);
    const second = await context.newPage();
    await second.goto(new URL('/', served.address).href);
    await onTheBench(second);
  });
});

describe('a recording in the fake microphone of the browser’s own', () => {
  it('acknowledges the cautions of the job and goes on, in Electron', async () => {
    const home = newHome({ voice: 'off' });
    const voice = installedVoices('report').find(({ engine }) => engine !== 'espeak-ng');
    if (voice === undefined) throw new Error('neither pico2wave nor flite is installed');
    // Played again and again from its start: a phrase that comes at the wrong moment has no effect.
    const recording = await makeSequence(['understood', 'next', 'understood', 'next'], voice, 3500);
    const file = join(home.folder, 'microphone.wav');
    writeRecording(file, recording.samples);
    const opened = await openElectron(home, {}, [
      '--use-fake-device-for-media-stream',
      `--use-file-for-fake-audio-capture=${file}`,
    ]);
    endings.push(() => opened.app.close());
    await beginJob(opened.page, /wt-3/i, /battery pack/i);
    const heard = async (): Promise<readonly string[]> =>
      ((await theJob(home.jobs))?.records ?? []).flatMap((record) =>
        (record.event === 'step.confirmed' || record.event === 'caution.acknowledged') &&
        record.source === 'voice'
          ? [record.event]
          : [],
      );
    await expect.poll(heard, { timeout: 180_000, interval: 500 }).toContain('step.confirmed');
    expect((await heard())[0]).toBe('caution.acknowledged');
  });
});
