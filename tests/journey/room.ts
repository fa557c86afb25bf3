/**
 * A room without hardware: a PulseAudio of our own with a loudspeaker and a microphone that are not there.
 * What is played at the technician's mouth arrives at the program's microphone; what the program says can
 * be heard at its loudspeaker. No sound is written anywhere but the recordings that the test itself makes.
 */
import { type ChildProcess, execFile, spawn } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { writeWav } from '../../electron/ear-node/wav.ts';
import { backgroundNoise } from '../sound/noise.ts';

const run = promisify(execFile);
const START_TIMEOUT_MS = 15_000;
/** Louder than this at the loudspeaker counts as speaking, of 1. */
const LOUD = 0.01;
const LISTEN_RATE_HZ = 8000;
/** A still room: exact silence is what an unplugged microphone gives. */
const STILL_ROOM_DBFS = -66;
const STILL_ROOM_RATE_HZ = 16_000;
const STILL_ROOM_SECONDS = 10;

export class Room {
  readonly #folder: string;
  readonly #server: string;
  readonly #pulse: ChildProcess;
  #listener: ChildProcess | undefined;
  #stillness: ChildProcess | undefined;
  #lastLoud = 0;
  #loudMs = 0;

  private constructor(folder: string, pulse: ChildProcess) {
    this.#folder = folder;
    this.#server = `unix:${join(folder, 'socket')}`;
    this.#pulse = pulse;
  }

  /** Opens a room. Rejects where PulseAudio is not installed or does not start. */
  static async open(): Promise<Room> {
    const folder = mkdtempSync(join(tmpdir(), 'stepcaller-room-'));
    const pulse = spawn(
      'pulseaudio',
      [
        '-n',
        '--daemonize=no',
        '--exit-idle-time=-1',
        '--use-pid-file=no',
        `--load=module-native-protocol-unix auth-anonymous=1 socket=${join(folder, 'socket')}`,
        '--load=module-null-sink sink_name=technician rate=16000 channels=1',
        // A monitor is no microphone to a browser; a source made from it is.
        '--load=module-remap-source master=technician.monitor source_name=microphone',
        '--load=module-null-sink sink_name=loudspeaker rate=16000 channels=1',
      ],
      {
        stdio: ['ignore', 'ignore', 'pipe'],
        env: { ...process.env, PULSE_RUNTIME_PATH: folder, HOME: folder },
      },
    );
    const room = new Room(folder, pulse);
    const until = Date.now() + START_TIMEOUT_MS;
    for (;;) {
      try {
        await run('pactl', ['info'], { env: room.#environment() });
        break;
      } catch (fault) {
        if (Date.now() > until) throw new Error(`no sound server: ${String(fault)}`);
        await new Promise((resolve) => setTimeout(resolve, 100));
      }
    }
    room.#listen();
    room.#beStill();
    return room;
  }

  /** The faint noise of a still room at the technician's place, as long as the room is open. */
  #beStill(): void {
    const child = spawn(
      'pacat',
      ['--device=technician', '--format=s16le', `--rate=${STILL_ROOM_RATE_HZ}`, '--channels=1'],
      { stdio: ['pipe', 'ignore', 'ignore'], env: this.#environment() },
    );
    const samples = backgroundNoise('white', STILL_ROOM_SECONDS * STILL_ROOM_RATE_HZ, STILL_ROOM_DBFS, 1);
    const noise = Buffer.from(Int16Array.from(samples, (sample) => Math.round(sample * 32_768)).buffer);
    const more = (): void => {
      while (child.stdin?.writable && child.stdin.write(noise));
    };
    // The pipe breaks when the room is closed: nothing more is wanted then.
    child.stdin?.on('error', () => undefined);
    child.stdin?.on('drain', more);
    more();
    this.#stillness = child;
  }

  #environment(): NodeJS.ProcessEnv {
    return { ...process.env, PULSE_SERVER: this.#server, HOME: this.#folder };
  }

  /** Environment for a program that hears and speaks in this room. */
  environment(): Record<string, string> {
    return { PULSE_SERVER: this.#server, PULSE_SINK: 'loudspeaker', PULSE_SOURCE: 'microphone' };
  }

  #listen(): void {
    const child = spawn(
      'parec',
      [
        '-d',
        'loudspeaker.monitor',
        '--format=s16le',
        `--rate=${LISTEN_RATE_HZ}`,
        '--channels=1',
        '--latency-msec=50',
      ],
      { stdio: ['ignore', 'pipe', 'ignore'], env: this.#environment() },
    );
    child.stdout?.on('data', (chunk: Buffer) => {
      let peak = 0;
      for (let at = 0; at + 1 < chunk.length; at += 2)
        peak = Math.max(peak, Math.abs(chunk.readInt16LE(at)) / 32768);
      if (peak < LOUD) return;
      this.#lastLoud = Date.now();
      this.#loudMs += (chunk.length / 2 / LISTEN_RATE_HZ) * 1000;
    });
    this.#listener = child;
  }

  /** Milliseconds since the program was last heard. */
  quietForMs(): number {
    return Date.now() - this.#lastLoud;
  }

  /** True where the program was heard after this time (milliseconds since 1970). */
  wasHeardSince(time: number): boolean {
    return this.#lastLoud > time;
  }

  /** Milliseconds of sound heard from the program so far. */
  heardMs(): number {
    return this.#loudMs;
  }

  /** Plays a recording at the technician's mouth, to its end. */
  async say(samples: Float32Array, rateHz: number): Promise<void> {
    const file = join(this.#folder, 'phrase.wav');
    writeFileSync(file, writeWav(samples, rateHz));
    await run('paplay', ['--device=technician', file], { env: this.#environment() });
  }

  /**
   * Pulls the microphone out: the device is gone until the room is closed. The sound server gives the
   * program what is left, the loudspeaker's own signal, so that the browser itself notices nothing.
   */
  async unplugMicrophone(): Promise<void> {
    const { stdout } = await run('pactl', ['list', 'short', 'modules'], { env: this.#environment() });
    const lines = stdout.split('\n');
    // Else the sound server would let the room's own noise be heard at the loudspeaker.
    this.#stillness?.kill();
    for (const mark of ['source_name=microphone', 'sink_name=technician']) {
      const index = lines.find((line) => line.includes(mark))?.split('\t')[0];
      if (index === undefined) throw new Error(`no module of the sound server with ${mark}`);
      await run('pactl', ['unload-module', index], { env: this.#environment() });
    }
  }

  /** Puts the microphone to sleep, as a computer does with its devices, or wakes it. */
  async putMicrophoneToSleep(asleep: boolean): Promise<void> {
    const env = this.#environment();
    await run('pactl', ['suspend-source', 'microphone', asleep ? '1' : '0'], { env });
  }

  close(): void {
    this.#listener?.kill();
    this.#stillness?.kill();
    this.#pulse.kill();
    rmSync(this.#folder, { recursive: true, force: true });
  }
}
