/**
 * Electron's security list against the running program. Each title begins with the number of the rule in
 * Electron's documentation; the rules that are read from built files are in `tests/security/electron-rules`.
 */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Home, type Opened, openElectron } from './programs.ts';

let home: Home;
let opened: Opened;

beforeAll(async () => {
  home = new Home();
  // With a microphone that is always there, a refusal is one of policy.
  opened = await openElectron(home, {}, ['--use-fake-device-for-media-stream']);
});
afterAll(async () => {
  await opened?.app.close();
  home?.remove();
});

/** Runs code in the page and gives what became of it, as text. */
const inPage = (code: string): Promise<string> =>
  opened.page.evaluate(async (source) => {
    try {
      // The page's own policy forbids evaluation; the test's way in does not count.
      const value: unknown = await new Function(`return (async () => { ${source} })()`)();
      return String(value);
    } catch (fault) {
      return `failed: ${fault instanceof Error ? fault.message : String(fault)}`;
    }
  }, code);

describe('rules of Electron’s security list, live', () => {
  it('1, 18 loads nothing but its own scheme', async () => {
    expect(opened.page.url()).toMatch(/^app:\/\/bench\//);
    const frames = opened.page.frames().map((frame) => frame.url());
    expect(frames.every((url) => url === '' || url.startsWith('app://'))).toBe(true);
  });

  it('1 lets no request leave the machine', async () => {
    for (const address of ['https://example.com/', 'http://127.0.0.1:9/', 'ws://127.0.0.1:9/']) {
      const result = await opened.app.evaluate(async ({ session }, url) => {
        try {
          return String((await session.defaultSession.fetch(url)).status);
        } catch (fault) {
          return `failed: ${String(fault)}`;
        }
      }, address);
      expect(result, address).toContain('failed');
    }
  });

  it('1 reads no file of the machine into a page', async () => {
    expect(await inPage('return (await fetch("file:///etc/passwd")).status;')).toContain('failed');
  });

  it('2, 3, 4, 6, 8, 9, 12 the page has no Node, is isolated and sandboxed', async () => {
    const found = await opened.page.evaluate(() => ({
      require: typeof (globalThis as Record<string, unknown>).require,
      process: typeof (globalThis as Record<string, unknown>).process,
      module: typeof (globalThis as Record<string, unknown>).module,
      bridge: Object.keys(window.stepcaller ?? {}).sort(),
    }));
    expect(found).toEqual({
      require: 'undefined',
      process: 'undefined',
      module: 'undefined',
      bridge: ['ask', 'onPush'],
    });
    const preferences = await opened.app.evaluate(({ BrowserWindow }) => {
      const contents = BrowserWindow.getAllWindows()[0]?.webContents as unknown as {
        getLastWebPreferences(): Record<string, unknown>;
      };
      const all = contents.getLastWebPreferences();
      return Object.fromEntries(
        [
          'contextIsolation',
          'sandbox',
          'nodeIntegration',
          'nodeIntegrationInWorker',
          'nodeIntegrationInSubFrames',
          'webSecurity',
          'allowRunningInsecureContent',
          'experimentalFeatures',
          'webviewTag',
        ].map((name) => [name, all[name] ?? false]),
      );
    });
    expect(preferences).toEqual({
      contextIsolation: true,
      sandbox: true,
      nodeIntegration: false,
      nodeIntegrationInWorker: false,
      nodeIntegrationInSubFrames: false,
      webSecurity: true,
      allowRunningInsecureContent: false,
      experimentalFeatures: false,
      webviewTag: false,
    });
  });

  it('3 the bridge cannot be changed from the page', async () => {
    expect(
      await inPage('window.stepcaller.ask = () => 1; return window.stepcaller.ask.toString().slice(0, 6);'),
    ).not.toBe('() => ');
  });

  it('5 grants the page with the buttons nothing: no microphone, no camera, no screen, no place, no notice', async () => {
    const denied =
      /failed: .*(denied|not allowed|permission|not supported|dismissed|invalid state|undefined)/i;
    expect(
      await inPage('await navigator.mediaDevices.getUserMedia({ audio: true }); return "granted";'),
    ).toMatch(denied);
    expect(
      await inPage('await navigator.mediaDevices.getUserMedia({ video: true }); return "granted";'),
    ).toMatch(denied);
    expect(await inPage('await navigator.mediaDevices.getDisplayMedia(); return "granted";')).toMatch(denied);
    expect(
      await inPage(
        'return await new Promise((yes, no) => navigator.geolocation.getCurrentPosition(() => yes("granted"), (e) => no(new Error("denied " + e.message))));',
      ),
    ).toMatch(denied);
    expect(await inPage('return await Notification.requestPermission();')).toBe('denied');
    expect(await inPage('await navigator.clipboard.readText(); return "granted";')).toMatch(denied);
    expect(await inPage('await navigator.usb.requestDevice({ filters: [] }); return "granted";')).toMatch(
      /failed/,
    );
  });

  it('5 grants the ears page the microphone alone', async () => {
    const ears = opened.page.frames().find((frame) => frame.url().startsWith('app://ears/'));
    expect(ears).toBeDefined();
    const states = await ears?.evaluate(async () => {
      const ask = async (name: string): Promise<string> =>
        (await navigator.permissions.query({ name: name as PermissionName })).state;
      return { geolocation: await ask('geolocation'), notifications: await ask('notifications') };
    });
    expect(states).toEqual({ geolocation: 'denied', notifications: 'denied' });
    const camera = await ears?.evaluate(() =>
      navigator.mediaDevices.getUserMedia({ video: true }).then(
        () => 'granted',
        () => 'refused',
      ),
    );
    expect(camera).toBe('refused');
  });

  it('5, 17 the ears page has no bridge', async () => {
    const ears = opened.page.frames().find((frame) => frame.url().startsWith('app://ears/'));
    expect(await ears?.evaluate(() => typeof (window as { stepcaller?: unknown }).stepcaller)).toBe(
      'undefined',
    );
  });

  it('7 the page’s policy forbids evaluation, inline code and foreign files', async () => {
    const broken = await opened.page.evaluate(async () => {
      const names: string[] = [];
      document.addEventListener('securitypolicyviolation', (event) => names.push(event.effectiveDirective));
      const inline = document.createElement('script');
      inline.textContent = 'window.broken = 1';
      document.body.append(inline);
      const foreign = document.createElement('img');
      foreign.src = 'https://example.com/a.png';
      document.body.append(foreign);
      const frame = document.createElement('iframe');
      frame.src = 'https://example.com/';
      document.body.append(frame);
      const timer = setTimeout as (code: string, ms: number) => unknown;
      timer('window.broken = 2', 0);
      await fetch('https://example.com/').catch(() => undefined);
      await new Promise((resolve) => setTimeout(resolve, 300));
      for (const element of [inline, foreign, frame]) element.remove();
      return { names, broken: (window as { broken?: number }).broken ?? 0 };
    });
    expect(broken.broken).toBe(0);
    for (const directive of ['script-src-elem', 'img-src', 'frame-src', 'connect-src', 'script-src']) {
      expect(broken.names).toContain(directive);
    }
  });

  it('7 no screen of the program’s own breaks the policy', async () => {
    const before = opened.console.length;
    for (const name of ['Review', 'Author’s desk', 'Settings', 'Help', 'Jobs']) {
      await opened.page.getByRole('button', { name, exact: true }).first().click();
      await opened.page.getByRole('heading', { level: 1 }).first().waitFor();
      await opened.page.waitForTimeout(500);
    }
    const broken = opened.console
      .slice(before)
      .filter((line) => /Content Security Policy|Refused to|uncaught/.test(line));
    expect(broken).toEqual([]);
  });

  it('11, 12 attaches no webview', async () => {
    const attached = await opened.page.evaluate(async () => {
      const view = document.createElement('webview');
      view.setAttribute('src', 'https://example.com/');
      document.body.append(view);
      await new Promise((resolve) => setTimeout(resolve, 300));
      const live = typeof (view as unknown as { getURL?: unknown }).getURL === 'function';
      view.remove();
      return live;
    });
    expect(attached).toBe(false);
    expect(await opened.app.evaluate(({ webContents }) => webContents.getAllWebContents().length)).toBe(1);
  });

  for (const address of [
    'https://example.com/',
    'app://ears/ears/ears.html',
    'app://bench.example.com/',
    'file:///etc/passwd',
    'data:text/html,hello',
    'javascript:document.title="changed"',
  ]) {
    it(`13 does not navigate to ${address}`, async () => {
      await opened.page.evaluate((url) => {
        const link = document.createElement('a');
        link.href = url;
        document.body.append(link);
        link.click();
        link.remove();
      }, address);
      await opened.page.waitForTimeout(200);
      expect(opened.page.url()).toMatch(/^app:\/\/bench\//);
      expect(await opened.page.title()).not.toBe('changed');
    });

    it(`14 opens no window for ${address}`, async () => {
      const before = opened.app.windows().length;
      await opened.page.evaluate((url) => {
        window.open(url);
        const link = document.createElement('a');
        link.href = url;
        link.target = '_blank';
        document.body.append(link);
        link.click();
        link.remove();
      }, address);
      await opened.page.waitForTimeout(200);
      expect(opened.app.windows().length).toBe(before);
    });
  }

  it('13 takes no dropped file for a page, and downloads nothing', async () => {
    const file = join(home.folder, 'dropped.html');
    writeFileSync(file, '<title>dropped</title>');
    const downloads: string[] = [];
    opened.page.on('download', (download) => downloads.push(download.url()));
    await opened.page.evaluate(() => {
      const link = document.createElement('a');
      link.href = URL.createObjectURL(new Blob(['secret']));
      link.download = 'secret.txt';
      document.body.append(link);
      link.click();
      link.remove();
    });
    await opened.page.waitForTimeout(300);
    expect(downloads).toEqual([]);
    expect(opened.page.url()).toMatch(/^app:\/\/bench\//);
  });

  it('16 says which Electron it runs on', async () => {
    expect(await opened.app.evaluate(() => process.versions.electron)).toMatch(/^\d+\./);
  });

  it('17 drops messages from frames that are not the bench', async () => {
    // A frame of our own scheme without a bridge has no way to send; one with a bridge is told apart by its
    // address. Both are tried at the handler itself.
    const answers = await opened.app.evaluate(async ({ ipcMain, BrowserWindow }) => {
      const handlers = (
        ipcMain as unknown as { _invokeHandlers: Map<string, (...args: unknown[]) => unknown> }
      )._invokeHandlers;
      const handler = handlers.get('stepcaller:ask');
      const sender = BrowserWindow.getAllWindows()[0]?.webContents;
      const ask = async (senderFrame: unknown): Promise<string> => {
        const got = await new Promise((resolve) => {
          const event = {
            senderFrame,
            sender,
            // Older versions hand the answer over in these ways.
            _reply: resolve,
            _throw: (fault: unknown) => resolve(String(fault)),
            sendReply: resolve,
          };
          Promise.resolve(handler?.(event, 'app.info', null)).then(
            (value) => value !== undefined && resolve(value),
          );
        });
        return JSON.stringify(got);
      };
      return [
        await ask({ url: 'app://bench/', parent: null }),
        await ask({ url: 'app://ears/ears/ears.html', parent: null }),
        await ask({ url: 'app://bench/', parent: {} }),
        await ask({ url: 'https://bench/', parent: null }),
        await ask(null),
      ];
    });
    expect(answers[0]).toContain('"ok":true');
    for (const answer of answers.slice(1)) {
      expect(answer).toContain('bridge/not-ours');
      expect(answer).not.toContain('jobs_folder');
    }
  });

  it('17 checks every argument', async () => {
    const codes = await opened.page.evaluate(async () => {
      const ask = window.stepcaller?.ask as unknown as (
        channel: unknown,
        argument: unknown,
      ) => Promise<{ ok: boolean; error?: { code: string } }>;
      const tried: readonly [unknown, unknown][] = [
        ['no.such.channel', null],
        ['__proto__', null],
        ['product.open', { file: 7 }],
        ['product.open', { file: '../../../etc/passwd' }],
        ['job.start', { file: 'wt-3.yaml' }],
        ['job.reopen', { job: '../x' }],
        ['job.input', { type: 'phrase', phrase: 'rm -rf', source: 'key' }],
        ['settings.set', { rate: 'fast' }],
        ['report.save', { job: 'a', as: 'exe' }],
      ];
      const got: string[] = [];
      for (const [channel, argument] of tried) {
        const answer = await ask(channel, argument);
        got.push(answer.ok ? 'answered' : (answer.error?.code ?? ''));
      }
      return got;
    });
    expect(codes).toHaveLength(9);
    expect(codes).not.toContain('answered');
    expect(codes.slice(0, 2)).toEqual(['bridge/unknown-request', 'bridge/unknown-request']);
  });

  it('20 hands the page no Electron object with a push', async () => {
    const keys = await opened.page.evaluate(
      () =>
        new Promise<string[]>((resolve) => {
          const stop = window.stepcaller?.onPush((...given: unknown[]) => {
            stop?.();
            resolve(
              given.map((value) =>
                Object.keys(value as object)
                  .sort()
                  .join(','),
              ),
            );
          });
          // A job that starts pushes its view.
          void window.stepcaller?.ask('job.start', {
            file: 'wt-3.yaml',
            replace: ['battery-pack'],
            variants: {},
            technician: 'Technician B',
            unit_serial: null,
            work_order: null,
            reported_fault: null,
          });
        }),
    );
    expect(keys).toHaveLength(1);
    expect(keys[0]).not.toContain('sender');
    expect(keys[0]).toContain('type');
  });

  it('keeps to one window: a second start brings the first to the front and ends', async () => {
    const second = openElectron(home).then(
      (other) => other.app.close().then(() => 'opened'),
      () => 'ended',
    );
    expect(await second).toBe('ended');
    expect(opened.app.windows().length).toBe(1);
  });
});
