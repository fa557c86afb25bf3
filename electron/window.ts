/**
 * The one window, and everything a page in it is refused: other pages, other windows, downloads, webviews,
 * permissions beyond the table in `permissions.ts`.
 */
import { app, BrowserWindow, Menu, type MenuItemConstructorOptions, type Session, screen } from 'electron';
import { APP_ORIGINS } from './app-protocol.ts';
import { isPermitted, originOf } from './permissions.ts';
import { readWindowState, WINDOW_HEIGHT_MIN, WINDOW_WIDTH_MIN, writeWindowState } from './window-state.ts';

/** Crashes of the page within this time after which it is not loaded again by itself. */
const CRASHES_MAX = 3;
const CRASH_WINDOW_MS = 60_000;

export interface BenchWindowOptions {
  /** Built preload script, absolute path. */
  readonly preload: string;
  /** File the window's place is kept in. */
  readonly stateFile: string;
  /** Called once before the window closes; it closes when the promise settles. */
  readonly beforeClose: () => Promise<void>;
  /** Something went wrong that the terminal should know. */
  readonly report: (message: string) => void;
}

/** Opens the window and loads the bench. */
export function openBenchWindow(options: BenchWindowOptions): BrowserWindow {
  const state = readWindowState(
    options.stateFile,
    screen.getAllDisplays().map((display) => display.workArea),
  );
  const window = new BrowserWindow({
    ...(state.x === undefined || state.y === undefined ? {} : { x: state.x, y: state.y }),
    width: state.width,
    height: state.height,
    minWidth: WINDOW_WIDTH_MIN,
    minHeight: WINDOW_HEIGHT_MIN,
    show: false,
    title: 'Stepcaller',
    backgroundColor: '#101418',
    // Written out although most are the default, so that a reader and a test can see them.
    webPreferences: {
      preload: options.preload,
      contextIsolation: true,
      sandbox: true,
      nodeIntegration: false,
      nodeIntegrationInWorker: false,
      nodeIntegrationInSubFrames: false,
      webSecurity: true,
      allowRunningInsecureContent: false,
      experimentalFeatures: false,
      webviewTag: false,
      navigateOnDragDrop: false,
      safeDialogs: true,
      spellcheck: false,
      backgroundThrottling: false, // a covered window still listens and speaks
      autoplayPolicy: 'no-user-gesture-required', // hands are busy: the first word is spoken unasked
    },
  });
  if (state.maximized) window.maximize();
  window.once('ready-to-show', () => window.show());
  keepPlace(window, options.stateFile);
  closeOnlyAfter(window, options.beforeClose);
  reloadAfterCrash(window, options.report);
  void window.loadURL(`${APP_ORIGINS.bench}/`);
  return window;
}

function keepPlace(window: BrowserWindow, file: string): void {
  window.on('close', () => {
    const bounds = window.getNormalBounds();
    writeWindowState(file, { ...bounds, maximized: window.isMaximized() });
  });
}

function closeOnlyAfter(window: BrowserWindow, beforeClose: () => Promise<void>): void {
  let asked = false;
  window.on('close', (event) => {
    if (asked) {
      event.preventDefault();
      return;
    }
    asked = true;
    event.preventDefault();
    void beforeClose().finally(() => window.destroy());
  });
}

/** The job lives in the host: a page that crashed is loaded again and shows the same step. */
function reloadAfterCrash(window: BrowserWindow, report: (message: string) => void): void {
  let crashes: number[] = [];
  window.webContents.on('render-process-gone', (_event, details) => {
    if (details.reason === 'clean-exit' || window.isDestroyed()) return;
    const now = performance.now();
    crashes = [...crashes.filter((at) => now - at < CRASH_WINDOW_MS), now];
    report(`the page ended (${details.reason}); the job goes on`);
    if (crashes.length > CRASHES_MAX) {
      report('the page ended again and again and is not loaded any more; start the program again');
      return;
    }
    window.webContents.reload();
  });
}

/** Denies everything a page could use to leave the program. Call once, before the first window. */
export function denyEverythingElse(report: (message: string) => void): void {
  app.on('web-contents-created', (_event, contents) => {
    contents.setWindowOpenHandler(({ url }) => {
      report(`a new window was denied: ${originOf(url) ?? 'unreadable address'}`);
      return { action: 'deny' };
    });
    contents.on('will-navigate', (event, url) => {
      if (originOf(url) === APP_ORIGINS.bench && new URL(url).pathname === '/') return;
      event.preventDefault();
      report(`a navigation was denied: ${originOf(url) ?? 'unreadable address'}`);
    });
    contents.on('will-frame-navigate', (event) => {
      const allowed = event.isMainFrame ? APP_ORIGINS.bench : APP_ORIGINS.ears;
      if (originOf(event.url) !== allowed) event.preventDefault();
    });
    contents.on('will-redirect', (event) => event.preventDefault());
    contents.on('will-attach-webview', (event) => event.preventDefault());
  });
}

/** Applies the permission table, and cancels downloads and every request that is not of our own scheme. */
export function guardSession(session: Session, report: (message: string) => void): void {
  session.setPermissionRequestHandler((contents, permission, answer, details) => {
    const facts = details as { mediaTypes?: string[]; securityOrigin?: string; requestingUrl?: string };
    const allowed = isPermitted({
      permission,
      origin: facts.securityOrigin ?? facts.requestingUrl ?? contents?.getURL(),
      media: facts.mediaTypes ?? [],
    });
    if (!allowed) report(`permission denied: ${permission}`);
    answer(allowed);
  });
  session.setPermissionCheckHandler((_contents, permission, requestingOrigin, details) =>
    isPermitted({
      permission,
      origin: details.securityOrigin ?? requestingOrigin,
      media: details.mediaType === undefined ? [] : [details.mediaType],
    }),
  );
  session.setDevicePermissionHandler(() => false);
  session.on('will-download', (event) => event.preventDefault());
  session.webRequest.onBeforeRequest((details, answer) => {
    const own = /^(app|blob|devtools|data):/.test(details.url);
    if (!own) report(`a request was denied: ${originOf(details.url) ?? 'unreadable address'}`);
    answer({ cancel: !own });
  });
}

/** Time in which a report is laid out and printed. */
const PRINT_TIMEOUT_MS = 30_000;

/**
 * Prints a report to PDF in a window that is never shown, runs no script and keeps nothing. Rejects after
 * `PRINT_TIMEOUT_MS`.
 */
export async function printPdf(html: string): Promise<Uint8Array> {
  const window = new BrowserWindow({
    show: false,
    webPreferences: {
      partition: 'report', // in memory only: no cookies, no cache on the disk
      javascript: false,
      contextIsolation: true,
      sandbox: true,
      nodeIntegration: false,
    },
  });
  window.webContents.session.webRequest.onBeforeRequest((details, answer) =>
    answer({ cancel: !details.url.startsWith('data:') }),
  );
  let timer: ReturnType<typeof setTimeout> | undefined;
  try {
    const late = new Promise<never>((_resolve, reject) => {
      timer = setTimeout(
        () => reject(new Error('the report could not be printed in time')),
        PRINT_TIMEOUT_MS,
      );
    });
    const print = window
      .loadURL(`data:text/html;charset=utf-8,${encodeURIComponent(html)}`)
      .then(() => window.webContents.printToPDF({ pageSize: 'A4', printBackground: true }));
    return await Promise.race([print, late]);
  } finally {
    clearTimeout(timer);
    window.destroy();
  }
}

/** A menu of our own: enough for keyboards and for macOS, nothing that reloads or opens pages. */
export function setMenu(developer: boolean): void {
  const view: MenuItemConstructorOptions[] = [
    { role: 'zoomIn' },
    { role: 'zoomOut' },
    { role: 'resetZoom' },
    { type: 'separator' },
    { role: 'togglefullscreen' },
  ];
  if (developer) view.push({ type: 'separator' }, { role: 'toggleDevTools' });
  const template: MenuItemConstructorOptions[] = [
    ...(process.platform === 'darwin' ? [{ role: 'appMenu' } as MenuItemConstructorOptions] : []),
    { label: 'Program', submenu: [{ role: 'about' }, { type: 'separator' }, { role: 'quit' }] },
    { role: 'editMenu' },
    { label: 'View', submenu: view },
  ];
  Menu.setApplicationMenu(Menu.buildFromTemplate(template));
}
