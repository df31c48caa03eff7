/**
 * The log as faculty read it: what people did (events, undoable) and what followed (states, cues, readings), newest
 * first, in plain words.
 */
import { amendedEvents, type Derived, type RunEvent } from '@breathline/engine';
import { deviceUseText } from '@breathline/patient';
import { doseUnit, type Library, type Scenario } from '@breathline/scenario';
import type { LogLine } from '@breathline/protocol';
import { itemWords } from '../prebrief/items.ts';
import { DEVICES, interventionById, isDosed, tileName } from './catalogue.ts';
import { amountText } from './dose.ts';
import { idWords, plainNumber, sentence, spanText } from './format.ts';
import { isLive, liveWords, LIVE_UNDOABLE, type Words } from './live-words.ts';
import { errandName } from './live/words.ts';

export type RowTone = 'given' | 'step' | 'look' | 'kit' | 'run' | 'state' | 'cue' | 'note' | 'steer' | 'alert';

export interface LogRow {
  readonly key: string;
  /** When it happened in the room, run-clock ms. */
  readonly atMs: number;
  readonly text: string;
  /** Smaller second line: dose, who, site, seen or not. */
  readonly detail: string | null;
  readonly tone: RowTone;
  /** Present for an event (something a person did). */
  readonly seq: number | null;
  readonly withdrawn: boolean;
  readonly undoable: boolean;
  /** Logged this long after it happened, ms; 0 when at once. */
  readonly lateMs: number;
  /** A Mark still waiting for its name. */
  readonly unnamedMark: boolean;
  /** Id of the picture kept with it; null = none. */
  readonly photo: string | null;
}

/** Kinds an undo may withdraw: what was logged about the room. Starting, stopping and undoing are not among them. */
const UNDOABLE: ReadonlySet<RunEvent['kind']> = new Set([
  'intervention',
  'intervention-stopped',
  'assessment',
  'device-attached',
  'device-removed',
  'cuff-pressed',
  'cue-spoken',
  'state-forced',
  'faculty-flag',
  'vital-overridden',
  'vital-released',
  'note',
  'mark',
  'conclusion-spoken',
  'observation-chosen',
  ...LIVE_UNDOABLE,
]);

/** May an event of this kind be withdrawn? */
export function isUndoableKind(kind: RunEvent['kind']): boolean {
  return UNDOABLE.has(kind);
}

/** After the end what the patient got stays as it was; words may still be taken back. */
const UNDOABLE_AFTER_END: ReadonlySet<RunEvent['kind']> = new Set([
  'note',
  'mark',
  'comment',
  'behaviour-ticked',
  'system-problem',
  'handover',
]);

/** May this event be withdrawn? */
export function isUndoable(event: RunEvent, ended = false): boolean {
  return isUndoableKind(event.kind) && (!ended || UNDOABLE_AFTER_END.has(event.kind));
}

const STEP_WORDS = { said: 'said', 'drawn-up': 'drawn up', given: 'given' } as const;

const PAUSE_WORDS = {
  faculty: 'Paused',
  discuss: 'Paused to discuss',
  'server-restart': 'Paused: the server restarted',
  'someone-not-all-right': 'Paused: someone is not all right',
  'real-emergency': 'Paused: real emergency',
} as const;

function deviceName(id: string): string {
  return DEVICES.find((device) => device.id === id)?.name ?? idWords(id);
}

function stateTitle(scenario: Scenario, thread: string, state: string): string {
  const found = scenario.threads.find((each) => each.id === thread)?.states.find((each) => each.id === state);
  return found?.title ?? idWords(state);
}

function cueWords(scenario: Scenario, id: string): { by: string; says: string } | null {
  for (const thread of scenario.threads) {
    for (const state of thread.states) {
      const cue = state.cues.find((each) => each.id === id);
      if (cue) return cue;
    }
  }
  return null;
}

function interventionWords(event: Extract<RunEvent, { kind: 'intervention' }>, library: Library): Words {
  const item = interventionById(library, event.intervention);
  const name = item ? tileName(item) : sentence(idWords(event.intervention));
  const dosed = item ? isDosed(item) : event.amount !== null;
  const detail: string[] = [];
  if (dosed) {
    detail.push(amountText(event.amount, doseUnit(item, event.unit) || null));
    if (event.volumeMl !== undefined && event.volumeMl !== null && event.concentration !== undefined) {
      detail.push(`${plainNumber(event.volumeMl)} ${doseUnit(item, 'mL')} of ${event.concentration}`);
    }
    if (event.step === 'given') detail.push(event.doseSeen ? 'dose seen' : 'dose not seen');
  }
  if (event.flowLPerMin !== undefined && event.flowLPerMin !== null)
    detail.push(`${plainNumber(event.flowLPerMin)} L/min`);
  if (event.site !== undefined) detail.push(event.site);
  if (event.givenBy !== undefined) detail.push(`by ${event.givenBy}`);
  if (event.weightUsedKg !== undefined && event.weightUsedKg !== null)
    detail.push(`team used ${plainNumber(event.weightUsedKg)} kg`);
  const used = deviceUseText(event.deviceUse);
  if (used !== null) detail.push(used);
  if (event.note !== undefined) detail.push(event.note);
  const stepped = event.step !== 'given' || (item?.steps?.length ?? 0) > 1;
  return {
    text: stepped ? `${name}: ${STEP_WORDS[event.step]}` : name,
    detail: detail.length === 0 ? null : detail.join(' · '),
    tone: event.step === 'given' ? 'given' : 'step',
  };
}

function eventWords(
  event: RunEvent,
  scenario: Scenario,
  library: Library,
  marks: ReadonlyMap<number, string>,
  log: readonly RunEvent[],
): Words | null {
  if (isLive(event)) return liveWords(event, scenario, log);
  switch (event.kind) {
    case 'intervention':
      return interventionWords(event, library);
    case 'intervention-stopped':
      return {
        text: `${interventionById(library, event.intervention)?.name ?? sentence(idWords(event.intervention))}: stopped`,
        detail: null,
        tone: 'given',
      };
    case 'assessment':
      return {
        text: interventionById(library, event.intervention)?.name ?? sentence(idWords(event.intervention)),
        detail:
          [event.doneBy === undefined ? '' : `by ${event.doneBy}`, event.note ?? ''].filter(Boolean).join(' · ') ||
          null,
        tone: 'look',
      };
    case 'device-attached':
      return { text: `${deviceName(event.device)} on`, detail: null, tone: 'kit' };
    case 'device-removed':
      return { text: `${deviceName(event.device)} off`, detail: null, tone: 'kit' };
    case 'cuff-pressed':
      return { text: 'Cuff cycled', detail: null, tone: 'kit' };
    case 'cuff-interval':
      return {
        text: event.everyMs === null ? 'Cuff: by hand only' : `Cuff: every ${spanText(event.everyMs)}`,
        detail: null,
        tone: 'kit',
      };
    case 'cue-spoken': {
      const cue = cueWords(scenario, event.cue);
      return {
        text: cue ? `${sentence(cue.by)}: ${cue.says}` : `Cue spoken: ${event.cue}`,
        detail: 'cue spoken',
        tone: 'cue',
      };
    }
    case 'state-forced':
      return {
        text: `Faculty moved the run to: ${stateTitle(scenario, event.thread, event.state)}`,
        detail: null,
        tone: 'steer',
      };
    case 'faculty-flag':
      return { text: `Faculty: ${event.label}`, detail: null, tone: 'steer' };
    case 'vital-overridden':
      return {
        text: `${sentence(vitalWords(event.vital))} held at ${plainNumber(event.to, 1)}`,
        detail: event.overMs > 0 ? `over ${spanText(event.overMs)}` : 'at once',
        tone: 'steer',
      };
    case 'vital-released':
      return { text: `${sentence(vitalWords(event.vital))} handed back to the model`, detail: null, tone: 'steer' };
    case 'note':
      return { text: event.text === '' ? 'Note (text removed)' : event.text, detail: 'note', tone: 'note' };
    case 'mark': {
      const label = marks.get(event.seq) ?? event.label;
      return { text: label ?? 'Mark', detail: label === undefined ? 'name it when you can' : 'mark', tone: 'note' };
    }
    case 'run-started':
      return { text: 'Run started', detail: null, tone: 'run' };
    case 'run-paused':
      return { text: PAUSE_WORDS[event.why], detail: null, tone: 'run' };
    case 'run-resumed':
      return {
        text: 'Carried on',
        detail: event.gapMs === undefined ? null : `${spanText(event.gapMs)} of the time away count for the patient`,
        tone: 'run',
      };
    case 'run-ended':
      return { text: 'Run ended', detail: event.why === '' ? null : event.why, tone: 'run' };
    case 'real-emergency-stop':
      return { text: 'STOP: real emergency. Every screen blanked', detail: null, tone: 'alert' };
    case 'real-emergency-cleared':
      return { text: 'Stop cleared', detail: null, tone: 'alert' };
    case 'prebrief-item':
      return { text: `${itemWords(event.item)}: ${event.done ? 'done' : 'not done'}`, detail: 'prebrief', tone: 'run' };
    case 'conclusion-spoken':
      return {
        text: `Team concludes: ${event.says}`,
        detail: event.next === undefined ? null : `next: ${event.next}`,
        tone: 'look',
      };
    case 'observation-chosen':
      return {
        text: `Observe for ${plainNumber(event.hours)} h`,
        detail: `from the ${event.from.replace('-', ' ')}`,
        tone: 'look',
      };
    // Answers and judgements of the debrief are read there.
    case 'line-adjusted':
    case 'circumstance-told':
    case 'objective-judged':
    case 'debrief-note':
    case 'debrief-phase':
    case 'mark-named':
    case 'act-amended':
    case 'reconciled':
    case 'event-withdrawn':
      return null;
  }
}

/** Plain words for a vital's id. */
export function vitalWords(id: string): string {
  const words: Readonly<Record<string, string>> = {
    heartRatePerMin: 'heart rate',
    spo2Percent: 'SpO2',
    systolicMmHg: 'blood pressure',
    diastolicMmHg: 'diastolic pressure',
    meanMmHg: 'mean pressure',
    respiratoryRatePerMin: 'breathing rate',
    etco2MmHg: 'end-tidal CO2',
    temperatureCelsius: 'temperature',
    glucoseMmolPerL: 'glucose',
    capillaryRefillS: 'capillary refill',
  };
  return words[id] ?? id;
}

function derivedWords(line: Derived, scenario: Scenario, log: readonly RunEvent[]): Words | null {
  switch (line.kind) {
    case 'state-entered':
      return {
        text: `Now: ${stateTitle(scenario, line.thread, line.state)}`,
        detail: line.from === null ? null : line.because,
        tone: 'state',
      };
    case 'arrest':
      return { text: line.on ? 'Cardiac arrest' : 'Circulation returned', detail: null, tone: 'alert' };
    case 'fault':
      return { text: line.message, detail: 'model fault', tone: 'alert' };
    case 'reading':
      if (line.device !== 'bp-cuff') return null;
      return line.failed !== undefined
        ? { text: `Cuff reading failed: ${line.failed}`, detail: null, tone: 'kit' }
        : {
            text: `Cuff read ${plainNumber(line.systolicMmHg ?? NaN, 0)}/${plainNumber(line.diastolicMmHg ?? NaN, 0)}`,
            detail: null,
            tone: 'kit',
          };
    case 'result':
      return { text: line.text, detail: null, tone: 'kit' };
    case 'arrest-asked':
      return { text: 'The model would arrest: faculty decide', detail: null, tone: 'alert' };
    case 'errand-came': {
      // Of a call it means that someone answered; who comes was sent for by a line of its own.
      const sent = log.find((each) => each.seq === line.seq);
      const call = sent?.kind === 'errand-sent' && sent.errand === 'call';
      const who = errandName(scenario, { errand: call ? 'call' : 'kit', what: line.what });
      return {
        text: `${sentence(call ? who : idWords(who))}: ${call ? 'answered' : 'here'}`,
        detail: null,
        tone: 'kit',
      };
    }
    case 'take-began':
      return { text: `Take ${line.take} begins`, detail: `from take ${line.fromTake}`, tone: 'run' };
    case 'cue-lapsed': {
      const cue = cueWords(scenario, line.cue);
      return cue ? { text: `Missed line, ${cue.by}: ${cue.says}`, detail: 'the scenario moved on', tone: 'cue' } : null;
    }
    case 'cue-due':
      return null;
  }
}

/** Every row, newest first. Rows at one time keep the order of cause and effect, newest on top. */
export function logRows(
  log: readonly LogLine[],
  derived: readonly Derived[],
  scenario: Scenario,
  library: Library,
  ended = false,
): readonly LogRow[] {
  const marks = new Map<number, string>();
  for (const { event, withdrawnBy } of log) {
    if (event.kind === 'mark-named' && withdrawnBy === null) marks.set(event.targetSeq, event.label);
  }
  const gone = new Map(log.map(({ event, withdrawnBy }) => [event.seq, withdrawnBy]));
  const events = amendedEvents(
    log.flatMap(({ event, withdrawnBy }) => (event.kind === 'act-amended' && withdrawnBy !== null ? [] : [event])),
  );
  const rows: { row: LogRow; order: number }[] = [];
  for (const event of events) {
    const withdrawnBy = gone.get(event.seq) ?? null;
    const words = eventWords(event, scenario, library, marks, events);
    if (!words) continue;
    rows.push({
      order: event.seq,
      row: {
        ...words,
        key: `e${event.seq}`,
        atMs: event.occurredAtMs,
        seq: event.seq,
        withdrawn: withdrawnBy !== null,
        undoable: withdrawnBy === null && isUndoable(event, ended),
        lateMs: event.appliedAtMs - event.occurredAtMs,
        unnamedMark:
          event.kind === 'mark' &&
          withdrawnBy === null &&
          marks.get(event.seq) === undefined &&
          event.label === undefined,
        photo: event.kind === 'system-problem' ? (event.photo ?? null) : null,
      },
    });
  }
  derived.forEach((line, index) => {
    const words = derivedWords(line, scenario, events);
    if (!words) return;
    rows.push({
      order: 1e9 + index,
      row: {
        ...words,
        key: `d${index}-${line.kind}-${line.atMs}`,
        atMs: line.atMs,
        seq: null,
        withdrawn: false,
        undoable: false,
        lateMs: 0,
        unnamedMark: false,
        photo: null,
      },
    });
  });
  rows.sort((a, b) => b.row.atMs - a.row.atMs || b.order - a.order);
  return rows.map(({ row }) => row);
}
