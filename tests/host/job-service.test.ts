/** The one open job: order of writing and telling, queue, ticks, the watch on voices, clocks. Rules L9, L10, L14, L15. */
import { describe, expect, test } from 'vitest';
import { readLog } from '../../electron/core/log/codec.ts';
import { verifyLog } from '../../electron/core/log/verify.ts';
import { MAX_WAITING_INPUTS } from '../../electron/job-service.ts';
import { UtteranceWatch } from '../../electron/utterance-watch.ts';
import { SimulatedProcesses } from '../crash/ports.ts';
import { Session, verified } from '../crash/session.ts';
import { jobFileOf, SHORT_PLAN } from '../crash/short-plan.ts';
import { SimulatedDisk } from '../crash/simulated-disk.ts';

const LOG = '/jobs/job-1/log.jsonl';

async function started(plan = SHORT_PLAN): Promise<Session> {
  const session = new Session(new SimulatedDisk(), new SimulatedProcesses().start(), jobFileOf(plan));
  expect((await session.start()).ok).toBe(true);
  return session;
}
const linesOf = (session: Session) => readLog(session.disk.peek(LOG) ?? '').lines;
const said = (session: Session): number[] =>
  session.effectsSince(0).flatMap((effect) => (effect.type === 'say' ? [effect.utterance] : []));

describe('writing and telling', () => {
  test('the log is synced before anything is told, in one write for each input', async () => {
    const session = await started();
    const disk = session.disk as SimulatedDisk;
    const trace: string[] = [];
    session.service.onPush((push) => {
      const last = disk.calls.at(-1)?.call;
      trace.push(push.type === 'effect' ? `${push.effect.type} after ${last}` : push.type);
    });
    const before = disk.calls.length;
    await session.handle({ type: 'spoken', utterance: said(session)[0] ?? 0, outcome: 'completed' });
    await session.handle({ type: 'phrase', phrase: 'understood', source: 'voice', confidence: 0.95 });
    const calls = disk.calls.slice(before).map(({ call }) => call);
    const each = ['size', 'write', 'datasync', 'stat'];
    expect(calls).toEqual([...each, ...each]);
    const effects = trace.filter((entry) => entry.includes(' after '));
    expect(effects).toContain('say after stat');
    expect(effects.filter((entry) => !entry.endsWith(' after stat'))).toEqual([]);
    expect(trace.findLast((entry) => !entry.includes(' after '))).toBe('render-ahead');
  });

  test('what is not possible now is recorded as refused and does not go on', async () => {
    const session = await started();
    const step = session.service.view()?.step.id;
    await session.handle({ type: 'phrase', phrase: 'next', source: 'voice', confidence: 1 });
    expect(session.service.view()?.step.id).toBe(step);
    expect(linesOf(session).at(-1)?.event).toBe('phrase.refused');
  });

  test('inputs that come at once are written one after the other, in their order', async () => {
    const session = await started();
    const reasons = ['not-sure', 'too-noisy', 'too-quiet', 'unknown-words'] as const;
    await Promise.all(reasons.map((reason) => session.service.handle({ type: 'unheard', reason })));
    expect(
      linesOf(session)
        .slice(-4)
        .map((line) => line.fields.reason),
    ).toEqual([...reasons]);
  });

  test('L15 more inputs than may wait are refused with a code', async () => {
    const session = await started();
    const answers = await Promise.all(
      Array.from({ length: MAX_WAITING_INPUTS + 20 }, () =>
        session.service.handle({ type: 'unheard', reason: 'not-sure' }),
      ),
    );
    const refused = answers.filter((answer) => !answer.ok);
    expect(refused).toHaveLength(20);
    expect(refused[0]).toMatchObject({ error: { code: 'job/too-busy' } });
    expect((await session.handle({ type: 'unheard', reason: 'not-sure' })).ok).toBe(true);
  });

  test('without a job, and with a second one, the answer is a refusal in words', async () => {
    const session = new Session(new SimulatedDisk(), new SimulatedProcesses().start(), jobFileOf(SHORT_PLAN));
    expect(await session.handle({ type: 'tick' })).toMatchObject({ error: { code: 'job/none-open' } });
    expect(session.service.view()).toBeNull();
    await session.start();
    expect(await session.start()).toMatchObject({ error: { code: 'job/another-open' } });
    expect(await session.reopen()).toMatchObject({ error: { code: 'job/another-open' } });
  });

  test('another program that writes into the log is found before the next write (L7)', async () => {
    const session = await started();
    const disk = session.disk as SimulatedDisk;
    const file = await disk.openAppend(LOG);
    await file.write(new Uint8Array([1]));
    const answer = await session.handle({ type: 'unheard', reason: 'not-sure' });
    expect(answer).toMatchObject({ error: { code: 'log/changed-outside' } });
  });
});

describe('L11 a job folder that is moved away or deleted while its job is open', () => {
  test('refuses what would be written past it, and goes on once the folder is back', async () => {
    const session = await started();
    const disk = session.disk as SimulatedDisk;
    const told = session.confirmed.length;
    await disk.rename('/jobs/job-1', '/jobs/elsewhere');
    const moved = await session.handle({ type: 'unheard', reason: 'not-sure' });
    expect(moved).toMatchObject({ error: { code: 'disk/moved-away', facts: { path: LOG } } });
    // What was told is in the log at its new place, and nothing besides.
    expect((await disk.readFile('/jobs/elsewhere/log.jsonl', 1e6)).length).toBe(told);
    await disk.rename('/jobs/elsewhere', '/jobs/job-1');
    expect((await session.handle({ type: 'unheard', reason: 'not-sure' })).ok).toBe(true);
    expect(await verified(disk, session.folder)).toMatchObject({ findings: [] });
  });

  test('a deleted log takes nothing more', async () => {
    const session = await started();
    await session.disk.unlink(LOG);
    for (let count = 0; count < 2; count += 1)
      expect(await session.handle({ type: 'unheard', reason: 'not-sure' })).toMatchObject({
        error: { code: 'disk/moved-away' },
      });
  });
});

describe('leaving and coming back', () => {
  test('a job that is left is closed, unlocked, and shown again where it was', async () => {
    const session = await started();
    await session.handle({ type: 'spoken', utterance: said(session)[0] ?? 0, outcome: 'completed' });
    await session.handle({ type: 'phrase', phrase: 'understood', source: 'key' });
    await session.handle({ type: 'phrase', phrase: 'next', source: 'key' });
    const before = session.service.view();
    expect((await session.service.leave()).ok).toBe(true);
    expect(session.service.view()).toBeNull();
    expect(session.pushes.at(-1)).toEqual({ type: 'view', view: null });
    expect(await session.disk.readdir('/jobs/job-1')).toEqual(['job.json', 'log.jsonl']);
    expect((await session.reopen()).ok).toBe(true);
    const after = session.service.view();
    expect(after?.step.id).toBe(before?.step.id);
    expect(after?.ledger).toEqual(before?.ledger);
    expect(
      linesOf(session)
        .map((line) => line.event)
        .slice(-3),
    ).toEqual(['job.left', 'job.reopened', 'step.shown']);
  });

  test('a finished job keeps its last view on the screen and cannot be opened again', async () => {
    const session = await started();
    expect(await session.work(0)).toBe(true);
    const last = session.pushes.findLast((push) => push.type === 'view');
    expect(last?.type === 'view' && last.view?.outcome).toBe('completed');
    expect(session.service.openJobName).toBeNull();
    expect(await session.reopen()).toMatchObject({ error: { code: 'job/finished' } });
  });

  test('L10 the time away is recorded and is in no step time', async () => {
    const session = await started();
    session.clock.advance(5000);
    await session.service.settled();
    await session.service.leave();
    const left = linesOf(session).at(-1);
    session.clock.advance(3_600_000);
    await session.reopen();
    const reopened = linesOf(session).find((line) => line.event === 'job.reopened');
    expect(reopened?.fields.away_ms).toBe(3_600_000);
    expect(reopened?.mono_ms).toBe(left?.mono_ms);
    expect(session.service.view()?.active_ms).toBe(5000);
  });

  test('L9 a wall clock that jumps an hour back or a day forward changes no time', async () => {
    const session = await started();
    for (const jump of [-3_600_000, 86_400_000]) {
      session.clock.jumpWall(jump);
      session.clock.advance(1000);
      await session.handle({ type: 'unheard', reason: 'not-sure' });
    }
    const lines = linesOf(session);
    expect(lines.at(-1)?.mono_ms).toBe(2000);
    const check = verifyLog(session.jobFile, readLog(session.disk.peek(LOG) ?? ''));
    expect(check.findings.map(({ code, severity }) => `${severity} ${code}`)).toEqual([
      'advice log/wall-clock',
      'advice log/wall-clock',
    ]);
    session.clock.jumpWall(-10 * 86_400_000);
    await session.service.leave();
    await session.reopen();
    expect(linesOf(session).find((line) => line.event === 'job.reopened')?.fields.away_ms).toBe(0);
  });
});

describe('ticks and the watch on voices', () => {
  test('the view is pushed each second, without a write', async () => {
    const session = await started();
    const disk = session.disk as SimulatedDisk;
    const before = disk.calls.length;
    const mark = session.pushes.length;
    for (let second = 0; second < 5; second += 1) {
      session.clock.advance(1000);
      await session.service.settled();
    }
    const views = session.pushes
      .slice(mark)
      .flatMap((push) => (push.type === 'view' ? [push.view?.active_ms] : []));
    expect(views).toEqual([1000, 2000, 3000, 4000, 5000]);
    expect(disk.calls.length).toBe(before);
  });

  test('L14 a caution whose voice never ends can be acknowledged after a while, as shown on the screen', async () => {
    const session = await started();
    await session.handle({ type: 'phrase', phrase: 'understood', source: 'key' });
    expect(session.service.view()?.caution?.read).toBe(false);
    for (let second = 0; second < 90; second += 1) {
      session.clock.advance(1000);
      await session.service.settled();
    }
    expect(session.service.view()?.caution?.read).toBe(true);
    expect(linesOf(session).findLast((line) => line.event === 'caution.read')?.fields.by).toBe('screen');
    expect((await session.handle({ type: 'phrase', phrase: 'understood', source: 'key' })).ok).toBe(true);
    expect(session.service.view()?.caution).toBeNull();
  });

  test('utterances are spoken one after the other: the second has its time from the end of the first', () => {
    const watch = new UtteranceWatch();
    watch.began(1, 'x'.repeat(100), 0);
    watch.began(2, 'x'.repeat(100), 0);
    expect(watch.overdue(34_999)).toBeUndefined();
    expect(watch.overdue(35_000)).toBe(1);
    watch.ended(1, 30_000);
    expect(watch.overdue(64_999)).toBeUndefined();
    expect(watch.overdue(65_000)).toBe(2);
    watch.ended(2, 65_000);
    expect(watch.overdue(1_000_000)).toBeUndefined();
  });
});

test('L3 a log that was cut off is told of aloud when the job is opened again, and only then', async () => {
  const session = await started();
  const disk = session.disk as SimulatedDisk;
  await session.service.leave();
  const troubles = () =>
    session.effectsSince(0).filter((effect) => effect.type === 'say' && effect.kind === 'trouble');
  await session.reopen();
  expect(troubles()).toEqual([]);
  await session.service.leave();
  const log = disk.peek(LOG) ?? new Uint8Array();
  disk.put(LOG, log.slice(0, -40));
  expect(await session.reopen()).toMatchObject({
    ok: true,
    value: { recovered: expect.stringContaining('cut off') },
  });
  expect(troubles()).toHaveLength(1);
  expect(await session.work(0)).toBe(true);
});

describe('a full disk while the voice reads', () => {
  test('the end of a caution that could not be written is written later by itself, and told of once', async () => {
    const session = await started();
    const disk = session.disk as SimulatedDisk;
    const utterance = said(session)[0] ?? 0;
    disk.fault = { at: disk.calls.length + 1, code: 'ENOSPC', forGood: true };
    const mark = session.pushes.length;
    expect((await session.handle({ type: 'spoken', utterance, outcome: 'completed' })).ok).toBe(false);
    for (let second = 0; second < 120; second += 1) {
      session.clock.advance(1000);
      await session.service.settled();
    }
    await session.service.handle({ type: 'unheard', reason: 'too-noisy' });
    const told = () =>
      session.effectsSince(mark).filter((effect) => effect.type === 'say' && effect.kind === 'trouble')
        .length;
    expect(told()).toBe(1);
    await session.handle({ type: 'phrase', phrase: 'understood', source: 'voice', confidence: 1 });
    expect(told()).toBe(2); // a person has said something and must hear that it does not count
    expect(session.service.view()?.troubles).toEqual(['disk-full']);
    disk.fault = undefined;
    session.clock.advance(1000);
    await session.service.settled();
    expect(session.service.view()).toMatchObject({ troubles: [], caution: { read: true } });
    expect(linesOf(session).filter((line) => line.event === 'caution.read')).toHaveLength(1);
    expect(
      (await session.handle({ type: 'phrase', phrase: 'understood', source: 'voice', confidence: 1 })).ok,
    ).toBe(true);
    expect(session.service.view()?.caution).toBeNull();
  });

  test('leaving closes the job all the same, and it goes on later', async () => {
    const session = await started();
    const disk = session.disk as SimulatedDisk;
    disk.fault = { at: disk.calls.length + 1, code: 'EIO', forGood: true };
    await session.service.leave();
    expect(session.service.openJobName).toBeNull();
    expect(session.pushes.some((push) => push.type === 'host-trouble')).toBe(true);
    disk.fault = undefined;
    expect((await session.reopen()).ok).toBe(true);
    expect(await session.work(0)).toBe(true);
  });
});

test('what will be said next is announced as it is then spoken', async () => {
  const session = await started();
  const ahead = new Set(session.pushes.flatMap((push) => (push.type === 'render-ahead' ? push.texts : [])));
  expect(ahead).toContain('Pull the plug. Say next when it is done.');
  expect(ahead).toContain('Remove the four lid screws.');
  const spoken = new Set<string>();
  session.service.onPush((push) => {
    if (push.type === 'render-ahead') for (const text of push.texts) ahead.add(text);
    if (push.type === 'effect' && push.effect.type === 'say' && push.effect.kind === 'step') {
      spoken.add(push.effect.text);
      expect(ahead).toContain(push.effect.text);
    }
  });
  expect(await session.work(0)).toBe(true);
  expect(spoken.size).toBeGreaterThanOrEqual(4);
});
