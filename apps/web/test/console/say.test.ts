/** The say-now card around a look, the glance, missed lines, and when to look again. */
import { describe, expect, it } from 'vitest';
import type { Finding } from '@breathline/patient';
import type { Derived } from '@breathline/engine';
import { cueRows } from '../../src/lib/console/cues.ts';
import { ANSWER_MS, looksLine, sayLines, sayable, type SayContext } from '../../src/lib/console/findings.ts';
import { dueText, reassessDue } from '../../src/lib/console/reassess.ts';
import { lastTold } from '../../src/lib/console/told.ts';
import { finding, line, scenario, trueVitals } from './sample.ts';

const revealedAt = (atMs: number, seq: number, ...found: Finding[]) =>
  found.map((each) => ({ finding: each, atMs, seq }));
const breathing = (findings: readonly Finding[], revealed: ReturnType<typeof revealedAt>, context: SayContext = {}) =>
  sayLines({ findings, revealed, trueVitals }, context)[1]!;
const statuses = (each: ReturnType<typeof breathing>) =>
  Object.fromEntries(each.parts.map((part) => [part.id, part.status]));

describe('saying and looking are two things', () => {
  const before = finding('wheeze', 'breathing', 'Widespread wheeze');
  const after = finding('wheeze', 'breathing', 'Loud wheeze', 'severe');

  it('shows what changed at the very moment of a look, and until it is said', () => {
    const looks = [...revealedAt(10_000, 1, before), ...revealedAt(100_000, 2, after)];
    const fresh = breathing([after], looks, { nowMs: 101_000 });
    expect(fresh).toMatchObject({ status: 'say-now', lookedAtMs: 100_000, saidAtMs: 10_000 });
    expect(statuses(fresh)).toMatchObject({ wheeze: 'changed' });
    // Faculty say so, or half a minute goes by.
    const told = { atMs: 103_000, findings: sayable({ findings: [after], trueVitals }) };
    expect(breathing([after], looks, { nowMs: 104_000, told })).toMatchObject({ status: 'said', saidAtMs: 103_000 });
    expect(breathing([after], looks, { nowMs: 100_001 + ANSWER_MS }).status).toBe('said');
  });

  it('never calls changed what was never said', () => {
    const colour = finding('colour', 'breathing', 'Lips pink', 'none');
    // A stethoscope told of the wheeze, not of the colour.
    const part = breathing([before, colour], revealedAt(10_000, 1, before), { nowMs: 90_000, wholeLook: () => false });
    expect(statuses(part)).toMatchObject({ wheeze: 'said', colour: 'unsaid' });
    expect(part.status).toBe('said');
    // After a look at the whole letter, a sign that was not there then is new.
    const whole = breathing([before, colour], revealedAt(10_000, 1, before), { nowMs: 90_000, wholeLook: () => true });
    expect(statuses(whole)).toMatchObject({ colour: 'new' });
    expect(whole.status).toBe('changed');
    expect(breathing([before], []).status).toBe('not-said');
  });

  it('counts what was said unasked as said', () => {
    const told = { atMs: 20_000, findings: sayable({ findings: [before], trueVitals }) };
    expect(breathing([before], [], { nowMs: 25_000, told }).status).toBe('said');
    expect(breathing([after], [], { nowMs: 25_000, told })).toMatchObject({ status: 'changed', saidAtMs: 20_000 });
  });
});

describe('what was said is in the log', () => {
  const said = sayable({ findings: [finding('wheeze', 'breathing', 'Widespread wheeze')], trueVitals });
  const lineAt = (seq: number, atMs: number, withdrawnBy: number | null = null) =>
    line(seq, { kind: 'findings-said', said, unasked: ['breathing'] }, atMs, withdrawnBy);

  it('so that a second console and a reloaded one show the same, and an undo brings back what was said before', () => {
    expect(lastTold([line(1, { kind: 'mark' }, 1_000)])).toBeNull();
    expect(lastTold([lineAt(1, 20_000), lineAt(2, 90_000)])).toEqual({ atMs: 90_000, findings: said });
    expect(lastTold([lineAt(1, 20_000), lineAt(2, 90_000, 3)])).toEqual({ atMs: 20_000, findings: said });
  });
});

describe('a glance at the patient', () => {
  const seen = (id: string, text: string, grade: Finding['grade']): Finding => ({
    ...finding(id, 'breathing', text, grade),
    observable: true,
  });
  it('names the worst of what can be seen, and nothing that must be heard or felt', () => {
    const findings = [
      seen('a', 'talks', 'none'),
      seen('b', 'a few weals', 'mild'),
      seen('c', 'blue lips', 'severe'),
      { ...seen('d', 'silent chest', 'severe'), observable: false },
      seen('e', 'drowsy', 'marked'),
      seen('f', 'sweaty', 'moderate'),
    ];
    expect(looksLine(findings)).toBe('Blue lips. Drowsy. Sweaty.');
    expect(looksLine([seen('a', 'talks normally', 'none')])).toBe('Talks normally.');
    expect(looksLine([])).toMatch(/Nothing to see/);
  });
});

describe('lines for actors', () => {
  const cue = scenario.threads[0]!.states.flatMap((state) => state.cues)[0]!;
  const derived: Derived[] = [
    { kind: 'cue-due', atMs: 10_000, cue: cue.id, thread: 't', state: 's' },
    { kind: 'cue-lapsed', atMs: 25_000, cue: cue.id },
  ];

  it('keeps a line that the scenario took away, until it is said after all', () => {
    const view = { cuesDue: [], clockMs: 30_000 };
    expect(cueRows(view, [], derived, scenario)).toEqual([
      { cue, status: 'missed', atMs: 10_000, withdrawnAtMs: 25_000 },
    ]);
    const said = line(1, { kind: 'cue-spoken', cue: cue.id }, 40_000);
    const rows = cueRows({ ...view, clockMs: 41_000 }, [said], derived, scenario);
    expect(rows.map((row) => row.status)).toEqual(['spoken']);
    // An undo of that brings the missed line back.
    expect(cueRows(view, [{ ...said, withdrawnBy: 2 }], derived, scenario).map((row) => row.status)).toEqual([
      'missed',
    ]);
  });

  it('says nothing of what has not happened yet in this take', () => {
    expect(cueRows({ cuesDue: [], clockMs: 20_000 }, [], derived, scenario)).toEqual([]);
  });

  it('puts what is due first, longest waiting on top, and not among the missed', () => {
    const due = { cue, dueAtMs: 27_000, spokenAtMs: null, thread: 't' };
    expect(cueRows({ cuesDue: [due], clockMs: 30_000 }, [], derived, scenario).map((row) => row.status)).toEqual([
      'due',
    ]);
  });
});

describe('when to look again', () => {
  it('is five minutes after the last look, or when a repeat may first be due', () => {
    expect(reassessDue(0, null, null)).toMatchObject({ dueAtMs: 60_000, why: 'first look', status: 'later' });
    expect(reassessDue(100_000, 90_000, null)).toMatchObject({ dueAtMs: 390_000, status: 'later' });
    expect(reassessDue(300_000, 90_000, 310_000)).toMatchObject({
      dueAtMs: 310_000,
      why: 'before a repeat',
      status: 'soon',
    });
    // Looked within the minute before the repeat: that look is the one it depends on.
    expect(reassessDue(312_000, 280_000, 310_000).why).toBe('five minutes');
    expect(reassessDue(391_000, 90_000, null).status).toBe('due');
  });
  it('reads as a countdown and then as how late', () => {
    expect(dueText(80_000, 0)).toBe('in 1:20');
    expect(dueText(80_000, 95_000)).toBe('due 0:15 ago');
  });
});
