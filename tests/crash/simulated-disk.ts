/**
 * A disk in memory that forgets, tears and fails. The faults it makes, and the program must survive:
 *
 * - Loss of power at any call: of every file each 512-byte sector not yet synced is old or new, by chance; what
 *   was never written in a grown file is zeros; its size is old, new or between. Names (create, rename, remove)
 *   not yet synced with their folder are there or not, each by chance; a rename is whole or not at all.
 * - The n-th call fails, once or for good, with any code. A failing write may have taken a part.
 * - A failing sync leaves the data in memory, calls it clean, and no later sync writes it unless it is written anew.
 * - A cut that is not synced may not have happened: what was cut off comes back, and so it does where a failing
 *   sync called the cut clean, unless it is cut anew.
 *
 * It does not: lose what was synced, or change bits (the tests do that themselves).
 */
import type { RandomSource } from '../../electron/core/base/random.ts';
import {
  type DiskCall,
  DiskError,
  type DiskErrorCode,
  type DiskPort,
  type FileStat,
  type OpenFile,
} from '../../electron/disk/disk-port.ts';

const SECTOR = 512;

interface FileNode {
  readonly kind: 'file';
  live: Uint8Array;
  durable: Uint8Array;
  /** Sectors that a failed sync called clean without writing them. */
  forgotten: Set<number>;
  /** What the file held before each cut that is not synced yet. */
  uncut: Uint8Array[];
  /** A failed sync called those cuts clean without writing them. */
  cutForgotten: boolean;
  modifiedMs: number;
}
interface NameChange {
  readonly remove: string | null;
  readonly set: readonly [name: string, node: Node] | null;
}
interface FolderNode {
  readonly kind: 'folder';
  entries: Map<string, Node>;
  durable: Map<string, Node>;
  pending: NameChange[];
}
type Node = FileNode | FolderNode;

/** Thrown by every call from the loss of power on; it is no `DiskError`, so nothing can mistake it for one. */
export class PowerLoss extends Error {
  constructor() {
    super('power lost');
    this.name = 'PowerLoss';
  }
}

export interface PlannedFault {
  /** Number of the call that fails, from 1. */
  readonly at: number;
  readonly code: DiskErrorCode;
  readonly forGood: boolean;
  /** Numbers of later calls that fail too, each once. */
  readonly alsoAt?: readonly number[];
}

function newFile(content: Uint8Array, modifiedMs: number): FileNode {
  return {
    kind: 'file',
    live: content,
    durable: content,
    forgotten: new Set(),
    uncut: [],
    cutForgotten: false,
    modifiedMs,
  };
}

function newFolder(): FolderNode {
  return { kind: 'folder', entries: new Map(), durable: new Map(), pending: [] };
}

function apply(entries: Map<string, Node>, change: NameChange): void {
  if (change.set !== null && change.remove !== null && !entries.has(change.remove)) return;
  if (change.remove !== null) entries.delete(change.remove);
  if (change.set !== null) entries.set(change.set[0], change.set[1]);
}

export class SimulatedDisk implements DiskPort {
  #root: FolderNode;
  /** Every call so far, for finding out how many there are and what a number stands for. */
  readonly calls: { readonly call: DiskCall; readonly path: string }[] = [];
  fault: PlannedFault | undefined;
  /** Power goes before this call, from 1. */
  powerLossAt: number | undefined;
  /** Part of a failing write that is taken all the same, from 0 to 1. */
  takenByFailingWrite = 0.5;
  #timeMs = 1_000_000;

  constructor(root: FolderNode = newFolder()) {
    this.#root = root;
  }

  // ---- the world's side -------------------------------------------------------------------------------

  /** The disk as it is found after the power came back. */
  afterPowerLoss(random: RandomSource): SimulatedDisk {
    return new SimulatedDisk(survivor(this.#root, random) as FolderNode);
  }

  /** The disk as another program finds it after this program died: nothing written is lost. */
  afterKill(): SimulatedDisk {
    return new SimulatedDisk(this.#root);
  }

  /** Content of a file as a running program sees it, or undefined. */
  peek(path: string): Uint8Array | undefined {
    const node = this.#find(path);
    return node?.kind === 'file' ? node.live : undefined;
  }

  /** Puts a file there, durable, as if it had always been. */
  put(path: string, bytes: Uint8Array): void {
    const { folder, name } = this.#place(path, 'create');
    const node = newFile(bytes, 0);
    folder.entries.set(name, node);
    folder.durable.set(name, node);
  }

  // ---- the program's side -----------------------------------------------------------------------------

  async openAppend(path: string): Promise<OpenFile> {
    this.#enter('open-append', path);
    const node = this.#find(path);
    if (node === undefined) throw new DiskError('ENOENT', 'open-append', path);
    if (node.kind === 'folder') throw new DiskError('EISDIR', 'open-append', path);
    return this.#open(node, path);
  }

  async createExclusive(path: string): Promise<OpenFile> {
    this.#enter('create', path);
    const { folder, name } = this.#place(path, 'create');
    if (folder.entries.has(name)) throw new DiskError('EEXIST', 'create', path);
    const node = newFile(new Uint8Array(), this.#timeMs);
    this.#change(folder, { remove: null, set: [name, node] });
    return this.#open(node, path);
  }

  async readFile(path: string, limitBytes: number): Promise<Uint8Array> {
    this.#enter('read', path);
    const node = this.#find(path);
    if (node === undefined) throw new DiskError('ENOENT', 'read', path);
    if (node.kind === 'folder') throw new DiskError('EISDIR', 'read', path);
    if (node.live.length > limitBytes) throw new DiskError('EFBIG', 'read', path);
    return node.live.slice();
  }

  async rename(from: string, to: string): Promise<void> {
    this.#enter('rename', from);
    const source = this.#place(from, 'rename');
    const target = this.#place(to, 'rename');
    const node = source.folder.entries.get(source.name);
    if (node === undefined) throw new DiskError('ENOENT', 'rename', from);
    if (source.folder !== target.folder) throw new DiskError('EIO', 'rename', to);
    if (target.folder.entries.get(target.name)?.kind === 'folder')
      throw new DiskError('ENOTEMPTY', 'rename', to);
    this.#change(source.folder, { remove: source.name, set: [target.name, node] });
  }

  async mkdir(path: string): Promise<void> {
    this.#enter('mkdir', path);
    const { folder, name } = this.#place(path, 'mkdir');
    if (folder.entries.has(name)) throw new DiskError('EEXIST', 'mkdir', path);
    this.#change(folder, { remove: null, set: [name, newFolder()] });
  }

  async syncFolder(path: string): Promise<void> {
    this.#enter('sync-folder', path);
    const node = path === '' || path === '/' ? this.#root : this.#find(path);
    if (node?.kind !== 'folder') throw new DiskError('ENOENT', 'sync-folder', path);
    node.durable = new Map(node.entries);
    node.pending = [];
  }

  async readdir(path: string): Promise<readonly string[]> {
    this.#enter('readdir', path);
    const node = this.#find(path);
    if (node === undefined) throw new DiskError('ENOENT', 'readdir', path);
    if (node.kind !== 'folder') throw new DiskError('ENOTDIR', 'readdir', path);
    return [...node.entries.keys()];
  }

  async stat(path: string): Promise<FileStat | undefined> {
    this.#enter('stat', path);
    const node = this.#find(path);
    if (node === undefined) return undefined;
    return node.kind === 'folder'
      ? { size: 0, isFolder: true, modifiedMs: 0 }
      : { size: node.live.length, isFolder: false, modifiedMs: node.modifiedMs };
  }

  async unlink(path: string): Promise<void> {
    this.#enter('unlink', path);
    const { folder, name } = this.#place(path, 'unlink');
    const node = folder.entries.get(name);
    if (node === undefined) throw new DiskError('ENOENT', 'unlink', path);
    if (node.kind === 'folder') throw new DiskError('EISDIR', 'unlink', path);
    this.#change(folder, { remove: name, set: null });
  }

  #open(node: FileNode, path: string): OpenFile {
    return {
      write: async (bytes) => {
        this.#enter('write', path, () => {
          const part = Math.floor(bytes.length * this.takenByFailingWrite);
          this.#append(node, bytes.subarray(0, part));
        });
        this.#append(node, bytes);
        return bytes.length;
      },
      datasync: async () => this.#sync(node, 'datasync', path),
      sync: async () => this.#sync(node, 'sync', path),
      truncate: async (bytes) => {
        this.#enter('truncate', path);
        const next = new Uint8Array(bytes);
        next.set(node.live.subarray(0, bytes));
        if (bytes < node.live.length) node.uncut.push(node.live);
        node.cutForgotten = false;
        node.live = next;
        for (const sector of node.forgotten) if (sector * SECTOR >= bytes) node.forgotten.delete(sector);
      },
      size: async () => {
        this.#enter('size', path);
        return node.live.length;
      },
      isInPlace: async () => {
        this.#enter('stat', path);
        return this.#find(path) === node;
      },
      close: async () => this.#enter('close', path),
    };
  }

  #append(node: FileNode, bytes: Uint8Array): void {
    const next = new Uint8Array(node.live.length + bytes.length);
    next.set(node.live);
    next.set(bytes, node.live.length);
    const firstSector = Math.floor(node.live.length / SECTOR);
    for (const sector of node.forgotten) if (sector >= firstSector) node.forgotten.delete(sector);
    node.live = next;
    this.#timeMs += 1;
    node.modifiedMs = this.#timeMs;
  }

  #sync(node: FileNode, call: DiskCall, path: string): void {
    this.#enter(call, path, () => {
      for (const sector of changedSectors(node)) node.forgotten.add(sector);
      node.cutForgotten = node.uncut.length > 0;
    });
    if (!node.cutForgotten) node.uncut = [];
    const next = node.live.slice();
    for (const sector of node.forgotten) {
      const from = sector * SECTOR;
      next.fill(0, from, from + SECTOR);
      next.set(node.durable.subarray(from, Math.min(from + SECTOR, next.length)), from);
    }
    node.durable = next;
  }

  /** Counts the call and makes it fail where that is planned. `onFailure` is what a failing call does all the same. */
  #enter(call: DiskCall, path: string, onFailure?: () => void): void {
    this.calls.push({ call, path });
    const number = this.calls.length;
    if (this.powerLossAt !== undefined && number >= this.powerLossAt) throw new PowerLoss();
    const fault = this.fault;
    if (fault === undefined || number < fault.at) return;
    if (number > fault.at && !fault.forGood && fault.alsoAt?.includes(number) !== true) return;
    onFailure?.();
    throw new DiskError(fault.code, call, path);
  }

  #change(folder: FolderNode, change: NameChange): void {
    apply(folder.entries, change);
    folder.pending.push(change);
  }

  #find(path: string): Node | undefined {
    let node: Node = this.#root;
    for (const name of path.split('/').filter((part) => part !== '')) {
      if (node.kind !== 'folder') return undefined;
      const next = node.entries.get(name);
      if (next === undefined) return undefined;
      node = next;
    }
    return node;
  }

  #place(path: string, call: DiskCall): { folder: FolderNode; name: string } {
    const parts = path.split('/').filter((part) => part !== '');
    const name = parts.pop();
    const folder = this.#find(parts.join('/'));
    if (name === undefined || folder === undefined) throw new DiskError('ENOENT', call, path);
    if (folder.kind !== 'folder') throw new DiskError('ENOTDIR', call, path);
    return { folder, name };
  }
}

function changedSectors(node: Pick<FileNode, 'live' | 'durable'>): number[] {
  const sectors = Math.ceil(Math.max(node.live.length, node.durable.length) / SECTOR);
  return Array.from({ length: sectors }, (_, sector) => sector).filter((sector) => {
    const from = sector * SECTOR;
    const live = node.live.subarray(from, from + SECTOR);
    const durable = node.durable.subarray(from, from + SECTOR);
    return live.length !== durable.length || live.some((byte, index) => byte !== durable[index]);
  });
}

function survivor(node: Node, random: RandomSource): Node {
  if (node.kind === 'folder') {
    const entries = new Map(node.durable);
    for (const change of node.pending) if (random.next() < 0.5) apply(entries, change);
    const kept = new Map([...entries].map(([name, child]) => [name, survivor(child, random)]));
    return { kind: 'folder', entries: kept, durable: new Map(kept), pending: [] };
  }
  return newFile(survivingContent(node, random), node.modifiedMs);
}

function survivingContent(node: FileNode, random: RandomSource): Uint8Array {
  const { durable } = node;
  const live = node.uncut.length === 0 ? node.live : random.pick([node.live, ...node.uncut]);
  const size = random.pick([
    live.length,
    durable.length,
    random.integer(Math.min(live.length, durable.length), Math.max(live.length, durable.length)),
  ]);
  const content = new Uint8Array(size);
  content.set(durable.subarray(0, size));
  for (const sector of changedSectors({ live, durable })) {
    if (random.next() < 0.5) continue;
    const from = sector * SECTOR;
    if (from >= size) continue;
    content.fill(0, from, Math.min(from + SECTOR, size));
    content.set(live.subarray(from, Math.min(from + SECTOR, size)), from);
  }
  return content;
}
