import { describe, expect, it } from 'vitest';
import { logRows } from '../../src/lib/console/logrows.ts';
import { keyAction, KEYS, type Pressed } from '../../src/lib/console/keys.ts';
import { canBackdate, isSteering, settle, type Tap } from '../../src/lib/console/taps.ts';
import { event, given, library, line, scenario } from './sample.ts';

describe('the log', () => {
  it('reads newest first in plain words, cause before effect at one moment', () => {
    const rows = logRows(
      [given(1, 'said', 10_000), given(2, 'given', 20_000), line(3, { kind: 'cue-spoken', cue: 'c1' }, 5000)],
      [
        {
          kind: 'state-entered',
          atMs: 20_000,
          thread: 'illness',
          state: 'settling',
          from: 'arrival',
          because: 'SpO2 held',
          forced: false,
        },
      ],
      scenario,
      library,
    );
    expect(rows.map((row) => row.text)).toEqual([
      'Now: Settling',
      'Adrenaline IM: given',
      'Adrenaline IM: said',
      'Teacher: Her throat feels funny.',
    ]);
    expect(rows[1]!.detail).toContain('dose not seen');
    expect(rows[1]!.undoable).toBe(true);
    expect(rows[0]!.undoable).toBe(false);
  });

  it('strikes what was withdrawn, names marks late, and says how late a line was logged', () => {
    const rows = logRows(
      [
        given(1, 'given', 1000, 2),
        line(2, { kind: 'event-withdrawn', targetSeq: 1 }, 2000),
        line(3, { kind: 'mark' }, 3000),
        line(4, { kind: 'mark' }, 4000),
        line(5, { kind: 'mark-named', targetSeq: 3, label: 'Good closed loop' }, 5000),
        { event: event(6, { kind: 'note', text: 'Asked for weight' }, 6000, 20_000), withdrawnBy: null },
      ],
      [],
      scenario,
      library,
    );
    expect(rows.map((row) => [row.text, row.withdrawn, row.unnamedMark, row.lateMs])).toEqual([
      ['Asked for weight', false, false, 20_000],
      ['Mark', false, true, 0],
      ['Good closed loop', false, false, 0],
      ['Adrenaline IM: given', true, false, 0],
    ]);
  });
});

describe('who did it, said afterwards', () => {
  const named = (withdrawnBy: number | null = null) => [
    given(1, 'given', 1000),
    line(2, { kind: 'assessment', intervention: 'look-breathing' }, 2000),
    line(3, { kind: 'errand-sent', errand: 'kit', what: 'trolley', delayMs: 60_000 }, 3000),
    line(4, { kind: 'act-amended', targetSeq: 1, doneBy: 'Nurse one', doseSeen: true }, 4000, withdrawnBy),
    line(5, { kind: 'act-amended', targetSeq: 2, doneBy: 'Nurse two' }, 5000, withdrawnBy),
    line(6, { kind: 'act-amended', targetSeq: 3, doneBy: 'Nurse one' }, 6000, withdrawnBy),
  ];

  it('stands in the act’s own line: no second line, and none taken back', () => {
    const rows = logRows(named(), [], scenario, library);
    expect(rows.map((row) => [row.seq, row.withdrawn, row.lateMs])).toEqual([
      [3, false, 0],
      [2, false, 0],
      [1, false, 0],
    ]);
    expect(rows.map((row) => row.detail)).toEqual([
      'here in 1 min · by Nurse one',
      'by Nurse two',
      expect.stringMatching(/dose seen · .*by Nurse one/),
    ]);
  });

  it('is not there any more once it was itself taken back', () => {
    const rows = logRows(named(9), [], scenario, library);
    expect(rows.map((row) => row.detail)).toEqual(['here in 1 min', null, expect.stringContaining('dose not seen')]);
    expect(rows.some((row) => row.withdrawn)).toBe(false);
  });
});

describe('what was sent for', () => {
  it('is answered when it is a call, and here when it is kit: a voice on the phone is nobody in the room', () => {
    const sent = (seq: number, errand: 'call' | 'kit', what: string) =>
      line(seq, { kind: 'errand-sent', errand, what, delayMs: 5_000 }, seq * 1_000);
    const rows = logRows(
      [sent(1, 'call', 'consultant'), sent(2, 'kit', 'defibrillator')],
      [
        { kind: 'errand-came', atMs: 6_000, seq: 1, what: 'consultant' },
        { kind: 'errand-came', atMs: 7_000, seq: 2, what: 'defibrillator' },
      ],
      scenario,
      library,
    );
    expect(rows.slice(0, 2).map((row) => row.text)).toEqual(['Defibrillator: here', 'Consultant: answered']);
  });
});

describe('keys', () => {
  const press = (key: string, part: Partial<Pressed> = {}): Pressed => ({
    key,
    code: '',
    shiftKey: false,
    ctrlKey: false,
    metaKey: false,
    altKey: false,
    repeat: false,
    ...part,
  });

  it('maps every line of the table to itself, with no two alike', () => {
    for (const each of KEYS) {
      const typed = each.shift ? each.key.toUpperCase() : each.key;
      expect(keyAction(press(typed, { shiftKey: each.shift ?? false }), false)).toEqual(each.action);
    }
    expect(new Set(KEYS.map((each) => each.shows)).size).toBe(KEYS.length);
  });

  it('does nothing while typing, on a held key, or with a browser shortcut', () => {
    expect(keyAction(press('a'), true)).toBeNull();
    expect(keyAction(press('a', { repeat: true }), false)).toBeNull();
    expect(keyAction(press('r', { ctrlKey: true }), false)).toBeNull();
    expect(keyAction(press('Escape'), true)).toEqual({ do: 'close' });
  });

  it('takes digits for the ten, Shift for "dose seen"', () => {
    expect(keyAction(press('1', { code: 'Digit1' }), false)).toEqual({ do: 'one-tap', index: 0, seen: false });
    expect(keyAction(press(')', { code: 'Digit0', shiftKey: true }), false)).toEqual({
      do: 'one-tap',
      index: 9,
      seen: true,
    });
  });
});

describe('taps on their way', () => {
  const tap: Tap = { id: 7, command: { kind: 'mark' }, label: 'Mark', occurredAtMs: 40_000 };

  it('backdates what happened in the room, never steering, starting or undoing', () => {
    const kinds = [
      { kind: 'mark' },
      { kind: 'assessment', intervention: 'listen' },
      { kind: 'state-forced', thread: 't', state: 's' },
      { kind: 'event-withdrawn', targetSeq: 1 },
      { kind: 'run-paused', why: 'faculty' },
    ] as const;
    expect(kinds.map((command) => canBackdate(command))).toEqual([true, true, false, false, false]);
    expect(kinds.map((command) => isSteering(command))).toEqual([false, false, true, false, false]);
  });

  it('leaves the list when settled', () => {
    expect(settle([tap], 7)).toEqual([]);
    expect(settle([tap], 8)).toEqual([tap]);
  });
});
