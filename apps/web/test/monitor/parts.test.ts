/** The pure parts beside the view: alarms of a frame, presses, figures, chest words, loudness, site. */
import { describe, expect, it } from 'vitest';
import { alarmReadings, createAlarms } from '@breathline/signals';
import { limitsFor, motionOf } from '../../src/lib/monitor/alarms-of.ts';
import { gainFor } from '../../src/lib/monitor/audio/loudness.ts';
import { sideWords, stridorWords } from '../../src/lib/monitor/chest-words.ts';
import { demoFrame, type DemoCase } from '../../src/lib/monitor/demo.ts';
import { figuresOf, legibleAtM } from '../../src/lib/monitor/figures.ts';
import { pressesOf, refusalWords, SILENCE_MS } from '../../src/lib/monitor/presses.ts';
import { apartFrom, siteOf } from '../../src/lib/monitor/site.ts';
import { viewOf } from '../../src/lib/monitor/view.ts';

const alarmsOf = (name: DemoCase, forMs = 30_000): string[] => {
  const alarms = createAlarms();
  for (let t = 0; t <= forMs; t += 250) {
    const frame = demoFrame(name, 350_000 + t);
    alarms.push(frame.clockMs, alarmReadings(frame), limitsFor(frame.ageYears));
  }
  return alarms.stateAt(350_000 + forMs).alarms.map((alarm) => `${alarm.priority} ${alarm.id}`);
};

describe('alarms of what is shown', () => {
  it('a well child has none; shock, arrest and a failed cuff have theirs', () => {
    expect(alarmsOf('well')).toEqual([]);
    expect(alarmsOf('none')).toEqual([]);
    const shock = alarmsOf('shock');
    expect(shock).toContain('high systolicMmHg-far-low');
    expect(shock).toContain('medium spo2Percent-low');
    expect(alarmsOf('asystole')[0]).toBe('high flat-line');
    expect(alarmsOf('vf')[0]).toBe('high no-rhythm');
    expect(alarmsOf('pea')).toContain('medium probe-lost');
    expect(alarmsOf('failed')).toEqual(['medium cuff-failed']);
    expect(alarmsOf('moving')).toEqual(['low probe-moved']);
  });

  // 1st and 99th centile at the age (Fleming S et al. Lancet 2011;377:1011-18), as in the paper's table.
  it('has the limits of the age, not of an adult', () => {
    expect(limitsFor(7).heartRatePerMin).toMatchObject({ low: 59, high: 123 });
    expect(limitsFor(0.5).heartRatePerMin).toMatchObject({ low: 98, high: 168 });
    expect(limitsFor(7).systolicMmHg.low).toBe(84);
    expect(limitsFor(0.5).systolicMmHg.low).toBe(70);
    for (const odd of [NaN, -3, Infinity, 500]) expect(limitsFor(odd).spo2Percent.low).toBe(92);
  });

  it('takes what faculty set, and the pause', () => {
    expect(limitsFor(7, [{ vital: 'heartRatePerMin', low: 50, high: null }]).heartRatePerMin).toMatchObject({
      low: 50,
      high: null,
    });
    const frame = { ...demoFrame('shock', 1000), alarm: { pausedUntilMs: 5000, limits: [] } };
    expect(alarmReadings(frame).pausedUntilMs).toBe(5000);
    expect(alarmReadings(demoFrame('shock', 1000)).pausedUntilMs).toBeNull();
  });

  it('knows movement from the probe alone where the run does not say', () => {
    expect(motionOf(demoFrame('moving', 0))).toBe(1);
    expect(motionOf(demoFrame('well', 0))).toBe(0);
    expect(motionOf(demoFrame('shock', 0))).toBe(0);
  });
});

describe('movement', () => {
  it('shakes the leads where no probe is on, and is still where the run says still', () => {
    const shaken = (name: DemoCase, motionFraction: number | null) => {
      const frame = demoFrame(name, 350_000);
      return motionOf({ ...frame, wave: { ...frame.wave, motionFraction } });
    };
    expect(shaken('none', 1)).toBe(1);
    expect(shaken('well', 0)).toBe(0);
    expect(shaken('well', null)).toBe(0);
  });
});

describe('presses', () => {
  it('are only those that faculty allow, and only while there is something to press', () => {
    expect(pressesOf(demoFrame('well', 0))).toEqual([]);
    const frame = demoFrame('pressing', 0);
    const ids = pressesOf(frame).map((press) => press.id);
    expect(ids).toEqual([
      'cuff',
      'silence',
      'attach-ecg',
      'attach-capnography',
      'attach-thermometer',
      'attach-glucose-meter',
    ]);
    expect(pressesOf({ ...frame, may: { cuff: false, silence: false, probes: false } })).toEqual([]);
    expect(pressesOf({ ...frame, phase: 'paused' })).toEqual([]);
    expect(pressesOf({ ...frame, shown: { ...frame.shown, attached: [] } }).map((p) => p.id)).not.toContain('cuff');
  });

  it('send the commands of the log', () => {
    const frame = demoFrame('pressing', 0);
    const by = (id: string) => pressesOf(frame).find((press) => press.id === id)!.command;
    expect(by('cuff')).toEqual({ kind: 'cuff-pressed' });
    expect(by('silence')).toEqual({ kind: 'alarm-paused', forMs: SILENCE_MS });
    expect(by('attach-ecg')).toEqual({ kind: 'device-attached', device: 'ecg' });
    const paused = pressesOf({ ...frame, alarm: { pausedUntilMs: 9000, limits: [] } });
    expect(paused.find((press) => press.id === 'silence')!.command).toEqual({ kind: 'alarm-paused', forMs: 0 });
  });

  it('a refusal is told in plain words', () => {
    expect(refusalWords({ code: 'wrong-role', detail: 'x' })).toContain('Ask faculty');
    expect(refusalWords({ detail: 'It is on already.', hint: '' })).toBe('Not done. It is on already.');
    expect(refusalWords(undefined)).toContain('Ask faculty');
  });
});

describe('figures', () => {
  it('put the pulse in the heart’s place while no lead is on, and say so', () => {
    const some = figuresOf(viewOf(demoFrame('some', 0), 'mmHg'));
    expect(some[0]).toMatchObject({ id: 'heart', label: 'Pulse (oximeter)', value: '96', attached: true });
    expect(figuresOf(viewOf(demoFrame('well', 0), 'mmHg')).map((figure) => figure.id)).toEqual([
      'heart',
      'oxygen',
      'pressure',
      'breathing',
      'co2',
      'temperature',
      'glucose',
    ]);
    expect(figuresOf(viewOf(demoFrame('none', 0), 'mmHg')).some((figure) => figure.attached)).toBe(false);
  });

  // 16 minutes of arc at 5 m is 23.3 mm (trigonometry); ISO 9241-303's 16 minutes from memory.
  it('23 mm digits are legible at 5 m', () => {
    const fontPx = 23.3 / 0.67 / 0.277;
    expect(legibleAtM(fontPx, 0.277)).toBeGreaterThan(4.9);
    expect(legibleAtM(fontPx, 0.277)).toBeLessThan(5.1);
  });
});

describe('the chest in words', () => {
  it('names each side, and a silent one as silent', () => {
    const { chest } = demoFrame('listening', 0);
    expect(sideWords(chest!.left)).toBe('Air entry reduced, loud wheeze');
    expect(sideWords(chest!.right)).toBe('Nothing heard');
    expect(sideWords({ airEntry: 1, wheeze: 0, crackles: 0 })).toBe('Good air entry');
    expect(sideWords({ airEntry: 0.9, wheeze: 0.3, crackles: 0.7 })).toBe('Good air entry, wheeze, many crackles');
    expect(stridorWords({ ...chest!, stridor: 0.8 })).toBe('Loud stridor');
    expect(stridorWords(chest!)).toBeNull();
  });
});

describe('loudness and site', () => {
  it('the console sets, the device and the site cap', () => {
    expect(gainFor(100, 'off')).toBe(0);
    expect(gainFor(0, 'room')).toBe(0);
    expect(gainFor(100, 'ward')).toBeLessThan(gainFor(100, 'room') / 3);
    const ward = siteOf({ inSitu: true, soundCapPercent: 40, palette: '', wardAlarm: null })!;
    expect(gainFor(100, 'room', ward)).toBeLessThanOrEqual(gainFor(100, 'ward'));
    expect(gainFor(100, 'room', { ...ward, inSitu: false })).toBeCloseTo(gainFor(40, 'room'), 9);
    // What the run's own board says goes before the site's rule.
    expect(gainFor(100, 'room', { ...ward, inSitu: false }, true)).toBeLessThanOrEqual(gainFor(100, 'ward'));
    expect(gainFor(100, 'room', ward, false)).toBeCloseTo(gainFor(40, 'room'), 9);
    for (const odd of [NaN, -5, 900]) expect(gainFor(odd, 'room')).toBeLessThanOrEqual(1);
  });

  it('nonsense from a site counts as not said', () => {
    expect(siteOf(null)).toBeNull();
    expect(siteOf('x')).toBeNull();
    expect(siteOf({})).toEqual({ inSitu: false, soundCapPercent: 100, palette: null, wardAlarmHz: null });
    expect(siteOf({ palette: 'amber', wardAlarm: { words: 'x', pitchHz: 500 } })).toMatchObject({
      palette: 'amber',
      wardAlarmHz: 500,
    });
  });

  it('keeps a third of an octave from the ward’s own alarm, inside 150 to 1000 Hz', () => {
    expect(apartFrom(523, null)).toBe(523);
    for (let ward = 160; ward <= 1000; ward += 7) {
      const hz = apartFrom(523, ward);
      expect(Math.abs(Math.log2(hz / ward))).toBeGreaterThan(0.33);
      expect(hz).toBeGreaterThanOrEqual(150);
      expect(hz).toBeLessThanOrEqual(1000);
    }
  });
});
