/** The real disk: the calls do what the simulated disk promises of them. */
import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { attempt } from '../../electron/disk/disk-fault.ts';
import { makeFolders } from '../../electron/disk/job-folder.ts';
import { createNodeDisk } from '../../electron/disk/node-disk.ts';
import { createNodeProcesses } from '../../electron/disk/node-processes.ts';

const disk = createNodeDisk();
const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);
let folder = '';

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'stepcaller-disk-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const codeOf = async (work: () => Promise<unknown>): Promise<string> => {
  const answer = await attempt(work);
  return answer.ok ? 'ok' : answer.error.code;
};

describe('the node disk', () => {
  test('appends at the end, also after the file was cut', async () => {
    const path = join(folder, 'log');
    const file = await disk.createExclusive(path);
    expect(await file.write(bytes('one\ntwo\n'))).toBe(8);
    await file.truncate(4);
    await file.write(bytes('three\n'));
    await file.datasync();
    await file.sync();
    expect(await file.size()).toBe(10);
    await file.close();
    expect(readFileSync(path, 'utf8')).toBe('one\nthree\n');
    const again = await disk.openAppend(path);
    await again.write(bytes('four\n'));
    await again.close();
    expect(readFileSync(path, 'utf8')).toBe('one\nthree\nfour\n');
  });

  test('knows whether an open file still lies where it was', async () => {
    const path = join(folder, 'job', 'log');
    await disk.mkdir(join(folder, 'job'));
    const file = await disk.createExclusive(path);
    expect(await file.isInPlace()).toBe(true);
    await disk.rename(join(folder, 'job'), join(folder, 'away'));
    expect(await file.isInPlace()).toBe(false);
    await disk.mkdir(join(folder, 'job'));
    writeFileSync(path, 'another one of the same name');
    expect(await file.isInPlace()).toBe(false);
    await disk.unlink(path);
    await disk.rename(join(folder, 'away', 'log'), path);
    expect(await file.isInPlace()).toBe(true);
    await disk.unlink(path);
    expect(await file.isInPlace()).toBe(false);
    await file.close();
  });

  test('never makes a log that has gone, and never takes the place of a file', async () => {
    expect(await codeOf(() => disk.openAppend(join(folder, 'none')))).toBe('disk/enoent');
    expect(existsSync(join(folder, 'none'))).toBe(false);
    writeFileSync(join(folder, 'there'), 'x');
    expect(await codeOf(() => disk.createExclusive(join(folder, 'there')))).toBe('disk/eexist');
    expect(await codeOf(() => disk.mkdir(join(folder, 'there')))).toBe('disk/eexist');
  });

  test('tells what is wrong with a code', async () => {
    writeFileSync(join(folder, 'large'), 'x'.repeat(100));
    expect(await codeOf(() => disk.readFile(join(folder, 'large'), 99))).toBe('disk/efbig');
    expect(await codeOf(() => disk.readFile(join(folder, 'large'), 100))).toBe('ok');
    expect(await codeOf(() => disk.readFile(folder, 100_000))).toBe('disk/eisdir');
    execFileSync('mkfifo', [join(folder, 'pipe')]);
    expect(await codeOf(() => disk.readFile(join(folder, 'pipe'), 100))).toBe('disk/eftype');
    expect(await codeOf(() => disk.readFile('/dev/zero', 100))).toBe('disk/eftype');
    expect(await codeOf(() => disk.readdir(join(folder, 'large')))).toBe('disk/enotdir');
    expect(await codeOf(() => disk.rename(join(folder, 'none'), join(folder, 'x')))).toBe('disk/enoent');
    expect(await disk.stat(join(folder, 'none'))).toBeUndefined();
    expect(await disk.stat(join(folder, 'large'))).toMatchObject({ size: 100, isFolder: false });
    expect(await disk.stat(folder)).toMatchObject({ isFolder: true });
  });

  test.skipIf(!existsSync('/dev/full'))(
    'a full disk is told as one (the kernel\u2019s always full device)',
    async () => {
      const file = await disk.openAppend('/dev/full');
      expect(await codeOf(() => file.write(bytes('x')))).toBe('disk/enospc');
      await file.close();
    },
  );

  test('folders are made with those above them, once', async () => {
    const deep = join(folder, 'a', 'b', 'c');
    await makeFolders(disk, deep);
    await makeFolders(disk, deep);
    expect(existsSync(deep)).toBe(true);
    writeFileSync(join(folder, 'file'), '');
    expect(await codeOf(() => makeFolders(disk, join(folder, 'file', 'd')))).toMatch(/^disk\/enotdir$/);
  });
});

test('the processes of this computer: the own one runs, with a start that stays; an impossible one does not', async () => {
  const processes = createNodeProcesses('test');
  const started = await processes.startOf(processes.pid);
  expect(started).not.toBeUndefined();
  expect(await processes.startOf(processes.pid)).toBe(started);
  expect(await processes.startOf(2 ** 30)).toBeUndefined();
});
