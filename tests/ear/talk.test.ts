/** Commands amid other people's talk, and where somebody works alone. */
import { describe, expect, it } from 'vitest';
import { ALLOWED, feed, ms, quiet, setUp, T, voice } from './told-ear.ts';

describe('amid talk', () => {
  const talk = (
    setup: ReturnType<typeof setUp>,
    text = '[unk]',
    sound = voice(800),
    thenQuietMs = T.talkBeforeMs,
  ): void => {
    setup.maker.text = text;
    feed(setup.listener, sound, quiet(thenQuietMs));
    setup.maker.text = 'next';
  };

  it('a phrase counts once a longer silence has followed it', () => {
    const setup = setUp();
    talk(setup);
    const found = feed(setup.listener, voice(400), quiet(900));
    expect(found).toMatchObject([{ type: 'heard', text: 'next', early: false }]);
    expect(found[0]?.at).toBeGreaterThanOrEqual(500 + 800 + T.talkBeforeMs + 400 + T.talkAfterMs);
  });

  it('a phrase is none where the talk goes on', () => {
    const setup = setUp();
    talk(setup);
    const found = [...feed(setup.listener, voice(400), quiet(T.talkAfterMs - 200))];
    setup.maker.text = 'next [unk]';
    found.push(...feed(setup.listener, voice(400), quiet(900)));
    expect(found.filter((message) => message.type === 'heard')).toEqual([]);
  });

  it('a phrase right behind it is asked for again', () => {
    const setup = setUp();
    talk(setup, '[unk]', voice(800), T.talkBeforeMs - 60);
    const found = feed(setup.listener, voice(400), quiet(900));
    expect(found).toMatchObject([{ type: 'refused', reason: 'not-sure' }]);
  });

  it('does not hold up a phrase that did not count and is said once more', () => {
    for (const [again, talkBefore, heardEarly] of [
      ['next', false, [true]],
      ['finish', false, []],
      ['next', true, [false]],
    ] as const) {
      const setup = setUp();
      if (talkBefore) talk(setup);
      else feed(setup.listener, quiet(T.talkMs));
      // Drawn out so much that it cannot be the phrase.
      talk(setup, 'next', voice(1_500), 1_000);
      setup.maker.text = again;
      const found = feed(setup.listener, voice(500), quiet(900)).filter((one) => one.type === 'heard');
      expect(
        found.map((one) => one.early),
        again,
      ).toEqual(heardEarly);
    }
  });

  it('now and then makes a phrase wait until nothing has followed it, for a minute', () => {
    for (const [times, thenMs, early] of [
      [1, T.talkMs, true],
      [2, T.talkMs, false],
      [2, T.talkAroundMs, true],
    ] as const) {
      const setup = setUp();
      for (let time = 0; time < times; time += 1) talk(setup, '[unk]', voice(800), T.talkMs);
      feed(setup.listener, quiet(thenMs));
      const found = feed(setup.listener, voice(400), quiet(900));
      expect(found, `${times} ${thenMs}`).toMatchObject([{ type: 'heard', text: 'next', early }]);
    }
  });

  it('is over after a while', () => {
    const setup = setUp();
    talk(setup);
    feed(setup.listener, quiet(T.talkMs));
    expect(feed(setup.listener, voice(400), quiet(400))).toMatchObject([{ type: 'heard', early: true }]);
  });

  it('is neither noise without words, nor a phrase, nor talk far off', () => {
    for (const [text, sound] of [
      ['', voice(800)],
      ['next', voice(800)],
      ['[unk]', ms(800, 0.03)],
    ] as const) {
      const setup = setUp();
      talk(setup, text, sound);
      const found = feed(setup.listener, voice(400), quiet(400));
      expect(found, text).toMatchObject([{ type: 'heard', text: 'next', early: true }]);
    }
  });

  it('is not what goes on far off until a near voice rises out of it', () => {
    for (const [amplitude, early] of [
      [0.03, [true]],
      [0.12, []],
    ] as const) {
      const setup = setUp();
      setup.maker.partial = '[unk]';
      feed(setup.listener, ms(1_500, amplitude), voice(120));
      setup.maker.partial = undefined;
      const found = feed(setup.listener, voice(280), quiet(900)).filter((one) => one.type === 'heard');
      expect(
        found.map((one) => one.early),
        String(amplitude),
      ).toEqual(early);
    }
  });

  it('is not what the mouth leaves in the room', () => {
    const setup = setUp();
    setup.tell({ type: 'mouth', speaking: true, text: 'Remove the cover.' });
    feed(setup.listener, quiet(500));
    setup.tell({ type: 'mouth', speaking: false, text: '' });
    talk(setup, '[unk]', voice(300));
    expect(feed(setup.listener, voice(400), quiet(400))).toMatchObject([{ type: 'heard', early: true }]);
  });

  it('does not matter where commands are marked, by the attention word or a key', () => {
    for (const mark of [
      { type: 'attention-word', on: true },
      { type: 'hold-to-talk', on: true, held: true },
    ] as const) {
      const setup = setUp();
      setup.tell(mark);
      talk(setup);
      setup.maker.text = mark.type === 'attention-word' ? 'bench next' : 'next';
      const found = feed(setup.listener, voice(700), quiet(400));
      expect(found).toMatchObject([{ type: 'heard', text: 'next', early: true }]);
    }
  });
});

describe('amid a conversation that lasts', () => {
  /** A listener beside which somebody has talked for `T.talkLastingMs`, in sentences. */
  const amid = (thenQuietMs: number): ReturnType<typeof setUp> => {
    const setup = setUp();
    setup.maker.text = '[unk]';
    for (const gapMs of [900, thenQuietMs]) feed(setup.listener, voice(T.talkLastingMs / 2), quiet(gapMs));
    return setup;
  };
  const hear = ({ listener, maker }: ReturnType<typeof setUp>, text: string) => {
    maker.text = text;
    return feed(listener, voice(text.includes(' ') ? 700 : 400), quiet(T.talkAfterMs + 100));
  };

  it('a command is asked for again, and counts then', () => {
    const setup = amid(T.talkLastingBeforeMs - 100);
    expect(hear(setup, 'next')).toMatchObject([{ type: 'refused', reason: 'not-sure' }]);
    expect(hear(setup, 'next')).toMatchObject([{ type: 'heard', text: 'next', early: false }]);
  });

  it('another than the one that was asked for is asked for again as well, and so is a late one', () => {
    for (const [first, thenQuietMs] of [
      ['yes', 0],
      ['next', T.talkRepeatMs],
    ] as const) {
      const setup = amid(T.talkLastingBeforeMs - 100);
      setup.tell({ type: 'grammar', allowed: { ...ALLOWED, phrases: ['next', 'yes'] } });
      expect(hear(setup, first), first).toMatchObject([{ reason: 'not-sure' }]);
      setup.maker.text = '[unk]';
      feed(setup.listener, quiet(thenQuietMs), voice(800), quiet(900));
      expect(hear(setup, 'next'), first).toMatchObject([{ reason: 'not-sure' }]);
    }
  });

  it('a command that stands well alone counts at once, but not before nothing has followed it', () => {
    const setup = amid(T.talkLastingBeforeMs);
    const [found] = hear(setup, 'next');
    expect(found).toMatchObject({ type: 'heard', text: 'next', early: false });
    expect(found?.at).toBeGreaterThanOrEqual(setup.listener.nowMs() - 120);
  });

  it('several words are asked for again too, but not a reading', () => {
    for (const [number, text, expected] of [
      ['none', 'stripped screw', { type: 'refused', reason: 'not-sure' }],
      ['reading', 'three five', { type: 'heard', text: 'three five' }],
    ] as const) {
      const setup = amid(T.talkAfterMs + 100);
      setup.tell({ type: 'grammar', allowed: { ...ALLOWED, number, answers: ['stripped screw'] } });
      expect(hear(setup, text), text).toMatchObject([expected]);
    }
  });

  it('sound without words is talk too', () => {
    for (const [soundMs, type] of [
      [100, 'heard'],
      [600, 'refused'],
    ] as const) {
      const setup = amid(T.talkMs);
      setup.maker.text = '';
      feed(setup.listener, voice(soundMs), quiet(T.talkLastingBeforeMs - 100));
      expect(hear(setup, 'next'), type).toMatchObject([{ type }]);
    }
  });

  it('so is speech without a gap, which is taken for the noise of the place', () => {
    for (const [gaplessMs, type] of [
      [0, 'heard'],
      [6_000, 'refused'],
    ] as const) {
      const setup = amid(T.talkMs);
      setup.maker.text = '';
      feed(setup.listener, voice(gaplessMs), quiet(T.talkLastingBeforeMs - 100));
      expect(hear(setup, 'next'), type).toMatchObject([{ type }]);
    }
  });

  it('"stop" is a command like the others, but ends a spoken note', () => {
    for (const isNote of [false, true]) {
      const setup = amid(T.talkLastingBeforeMs - 100);
      if (isNote) setup.tell({ type: 'record-note', on: true, keep: false });
      const expected = isNote ? { type: 'heard', text: 'stop', early: true } : { reason: 'not-sure' };
      expect(hear(setup, 'stop')).toMatchObject([expected]);
    }
  });

  it('is forgotten after a minute, and three phrases that were not understood are none', () => {
    const setup = amid(T.talkAroundMs);
    expect(hear(setup, 'next')).toMatchObject([{ type: 'heard', early: true }]);
    setup.maker.text = '[unk]';
    for (let time = 0; time < 3; time += 1) feed(setup.listener, voice(800), quiet(900));
    expect(hear(setup, 'next')).toMatchObject([{ type: 'heard', text: 'next' }]);
  });

  it('is not somebody who speaks a note', () => {
    const setup = setUp();
    setup.tell({ type: 'record-note', on: true, keep: false });
    setup.maker.text = '[unk]';
    for (let time = 0; time < 3; time += 1) feed(setup.listener, voice(2_000), quiet(900));
    setup.maker.text = 'stop';
    feed(setup.listener, voice(400), quiet(T.talkAfterMs + 100));
    setup.tell({ type: 'record-note', on: false, keep: true });
    expect(hear(setup, 'next')).toMatchObject([{ type: 'heard', text: 'next', early: true }]);
  });
});
