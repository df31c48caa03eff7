import { describe, expect, it } from 'vitest';
import { demoFrame } from '../../src/lib/monitor/demo.ts';
import {
  agoText,
  isHeld,
  isLost,
  LOST_AFTER_MS,
  NO_NUMBER,
  NEVER_HEARD_MS,
  noticeOf,
  QUIET_AFTER_MS,
  viewOf,
} from '../../src/lib/monitor/view.ts';

const at = 350_000;
const band = (id: string, frame = demoFrame('well', at)) => viewOf(frame, 'mmHg').bands.find((b) => b.id === id)!;
const tile = (id: string, frame = demoFrame('well', at)) => viewOf(frame, 'mmHg').tiles.find((t) => t.id === id)!;

describe('what is shown', () => {
  it('has nothing but words for a device that is not attached, though the frame should carry a number', () => {
    const view = viewOf(demoFrame('none', at), 'mmHg');
    expect(view.attachedCount).toBe(0);
    for (const part of [...view.bands, ...view.tiles]) {
      expect(part.attached).toBe(false);
      expect(part.absent).toMatch(/not (attached|measured)/);
    }
  });

  it('keeps every vital in the same order whatever is attached', () => {
    const ids = (name: 'none' | 'some' | 'well') => viewOf(demoFrame(name, at), 'mmHg').bands.map((b) => b.id);
    expect(ids('none')).toEqual(ids('well'));
    expect(ids('some')).toEqual(ids('well'));
  });

  it('never turns a missing reading into nought, nor nought into a missing reading', () => {
    const frame = demoFrame('well', at);
    const missing = { ...frame, shown: { ...frame.shown, spo2Percent: null, respiratoryRatePerMin: 0 } };
    expect(band('oxygen', missing).value).toBe(NO_NUMBER);
    expect(band('oxygen', missing).note).toBe('no reading yet');
    expect(band('breathing', missing).value).toBe('0');
  });

  it('says low perfusion in words beside the number', () => {
    expect(band('oxygen', demoFrame('shock', at)).note).toMatch(/low perfusion/);
  });

  it('gives a blood pressure its age, and no pressure before a cuff cycle', () => {
    expect(tile('pressure').value).toBe('104/62');
    expect(tile('pressure').note).toBe('mean 76');
    expect(tile('pressure').age).toBe('2 min ago');
    expect(tile('pressure').next).toBe('next in 3 min');
    const none = tile('pressure', demoFrame('some', at));
    expect(none.value).toBe(NO_NUMBER);
    expect(none.note).toBe('No reading yet');
  });

  it('says the cuff is inflating, and says a failed cycle in words without a number', () => {
    expect(tile('pressure', demoFrame('inflating', at)).note).toBe('Cuff inflating');
    expect(tile('pressure', demoFrame('inflating', at)).busy).toBe(true);
    const failed = tile('pressure', demoFrame('failed', at));
    expect(failed.value).toBe(NO_NUMBER);
    expect(failed.note).toBe('Cuff failed: pressure too low to read');
  });

  // 1 mmHg = 0.133322 kPa (NIST SP 811).
  it('turns mmHg into kPa when the site asks', () => {
    const co2 = viewOf(demoFrame('well', at), 'kPa').bands.find((b) => b.id === 'co2')!;
    expect(co2.value).toBe('4.9');
    expect(co2.unit).toContain('kPa');
  });

  it('shows the breaths of a capnograph when there are no chest leads', () => {
    const frame = demoFrame('well', at);
    const only = { ...frame, shown: { ...frame.shown, attached: ['capnography'] as const } };
    expect(band('co2', only).second?.value).toBe('20');
    expect(band('breathing', only).attached).toBe(false);
    expect(band('co2').second).toBeNull();
  });
});

describe('how long ago', () => {
  it.each([
    [0, 'just now'],
    [9_999, 'just now'],
    [25_000, '20 s ago'],
    [59_999, '50 s ago'],
    [60_000, '1 min ago'],
    [239_000, '3 min ago'],
    [3_900_000, '1 h 5 min ago'],
    [-500, 'just now'],
  ])('%d ms is "%s"', (ms, words) => expect(agoText(ms)).toBe(words));
});

describe('the notice', () => {
  const running = demoFrame('well', at);

  it('is none while a run goes on and frames come', () => expect(noticeOf(running, 300, true)).toBeNull());

  it('holds numbers when frames stop for two seconds, and is lost after twenty, even if the line looks up', () => {
    expect(noticeOf(running, QUIET_AFTER_MS, true)).toBeNull();
    for (const lineUp of [true, false]) {
      expect(isHeld(noticeOf(running, QUIET_AFTER_MS + 1, lineUp))).toBe(true);
      expect(isLost(noticeOf(running, LOST_AFTER_MS, lineUp))).toBe(false);
      expect(isLost(noticeOf(running, LOST_AFTER_MS + 1, lineUp))).toBe(true);
      expect(isHeld(noticeOf(running, LOST_AFTER_MS + 1, lineUp))).toBe(false);
    }
  });

  it('does not cry lost over a pause while the server still answers, but does when it does not', () => {
    const paused = demoFrame('paused', at);
    expect(noticeOf(paused, 90_000, true)?.title).toBe('Paused');
    expect(isHeld(noticeOf(paused, 9_000, false))).toBe(true);
    expect(isLost(noticeOf(paused, 21_000, false))).toBe(true);
    expect(noticeOf(demoFrame('ended', at), 90_000, false)?.title).toBe('The run has ended');
  });

  it('puts a real emergency before everything and covers all', () => {
    for (const silent of [0, 60_000]) {
      const notice = noticeOf({ ...demoFrame('blank', at), restarted: true, phase: 'paused' }, silent, false)!;
      expect(notice.title).toBe('Stop: real emergency');
      expect(notice.covers).toBe(true);
    }
  });

  it('has words for ready, paused, ended and a restarted server', () => {
    expect(noticeOf(demoFrame('ready', 0), 0, true)?.title).toBe('Ready');
    expect(noticeOf(demoFrame('paused', at), 0, true)?.title).toBe('Paused');
    const forSomeone = noticeOf({ ...demoFrame('paused', at), notAllRight: true }, 0, true);
    expect(forSomeone).toMatchObject({ title: 'Paused for someone in the room', covers: false });
    expect(noticeOf(demoFrame('restarted', at), 0, true)?.title).toBe('Server restarted');
    const ended = noticeOf(demoFrame('ended', at), 0, true)!;
    expect(ended.title).toBe('The run has ended');
    expect(ended.covers).toBe(true);
    expect(noticeOf(null, 0, false)?.covers).toBe(true);
    // Loaded again while its server is away: it does not go on "connecting" for ever.
    expect(noticeOf(null, NEVER_HEARD_MS, false)?.title).toBe('Connecting');
    expect(noticeOf(null, NEVER_HEARD_MS + 1, false)).toMatchObject({
      title: 'Signal lost: ask faculty',
      covers: true,
      tone: 'danger',
    });
  });
});
