/** Lays a run and its scorecard out on one time axis, ready to draw. */
import { deviceUseText } from '@breathline/patient';
import { doerOf, exportOfTake, type Derived, type RunEvent, type RunExport, type TrackRow } from '@breathline/engine';
import { doseUnit, type Intervention } from '@breathline/scenario';
import { runPatient } from './clocks.ts';
import { asksForAdrenaline } from './key-step.ts';
import { prepareLog, type PreparedLog } from './prepare-log.ts';
import { findPack } from './score-run.ts';
import type { Scorecard } from './types.ts';
import type {
  TimelineKeyStep,
  TimelineMark,
  TimelineModel,
  TimelineMoment,
  TimelineState,
  TimelineTarget,
} from './timeline-types.ts';
import { timelineKey } from './timeline-key.ts';
import { panels } from './timeline-panels.ts';
import { liveMarks } from './timeline-live.ts';
import { amountText, clockText, interventionName, plainNumber, routeText, siteText } from './words.ts';

/** Builds the picture. Pure. Panels whose vital was never shown keep their true line; end-tidal CO2 appears only if shown. */
export function buildTimeline(whole: RunExport, scorecard: Scorecard): TimelineModel {
  const run = exportOfTake(whole);
  const log = prepareLog(run);
  const toMs = Math.max(scorecard.clocks.endMs, 1000);
  const track = run.track.filter((row) => row.atMs <= toMs);
  const marks = log.events.flatMap((event) => {
    const by = doerOf(event);
    return markOf(run, event, scorecard).map((mark) => (by ? { ...mark, by } : mark));
  });
  const numbered = numberDoses(marks, log);
  const key = timelineKey(scorecard, run.definition.library.interventions);
  const pick = (...kinds: TimelineMark['kind'][]): TimelineMark[] =>
    numbered.filter((mark) => kinds.includes(mark.kind));
  return {
    caution: scorecard.caution,
    runId: run.runId,
    fromMs: 0,
    toMs,
    panels: panels(track, runPatient(run).ageYears, scorecard, findPack(run, scorecard.packId).oxygenRange),
    doses: pick('drug', 'fluid'),
    acts: pick('oxygen', 'procedure', 'act', 'call'),
    assessments: pick('assessment'),
    results: resultMarks(run, log, toMs),
    cues: pick('cue'),
    notes: pick('note', 'mark', 'steering'),
    threads: threads(run, track, toMs),
    targets: scorecard.results.flatMap(targetBand),
    moments: moments(scorecard, key),
    key,
    pauses: log.events.flatMap((event) =>
      event.kind === 'run-paused' ? [{ atMs: event.appliedAtMs, why: event.why.replaceAll('-', ' ') }] : [],
    ),
  };
}

// ------------------------------------------------------------------ marks

function markOf(run: RunExport, event: RunEvent, scorecard: Scorecard): TimelineMark[] {
  const { library, scenario } = run.definition;
  const at = { seq: event.seq, atMs: event.occurredAtMs, nth: null, warn: false };
  switch (event.kind) {
    case 'intervention': {
      const known = library.interventions.find((one) => one.id === event.intervention);
      const name = interventionName(library, event.intervention);
      if (event.step !== 'given') {
        const step = event.step.replaceAll('-', ' ');
        const label = `${known?.short ?? name} ${step}`;
        return [{ ...at, kind: 'act', label, text: `${clockText(event.occurredAtMs)} ${name} ${step}` }];
      }
      const amount = event.amount === null ? '' : amountText(event.amount, doseUnit(known, event.unit)).trim();
      const flow = typeof event.flowLPerMin === 'number' ? `${plainNumber(event.flowLPerMin)} L/min` : '';
      const use = known?.deviceDoses ? deviceUseText(event.deviceUse) : null;
      const how = [event.route ? routeText(event.route) : '', event.site ? siteText(event.site) : ''];
      const extra = [amount, flow, ...how, use ?? ''].filter(Boolean);
      const seen = known?.kind === 'drug' && !event.doseSeen ? ['volume and strength not seen'] : [];
      return [
        {
          ...at,
          kind: kindOf(known),
          label: withAmount(known?.short ?? name, amount || flow),
          text: [`${clockText(event.occurredAtMs)} ${name}`, ...extra, ...seen].join(', '),
          warn: isTrouble(scorecard, event) || use !== null,
        },
      ];
    }
    case 'intervention-stopped': {
      const name = interventionName(library, event.intervention);
      return [
        { ...at, kind: 'act', label: `${name} stopped`, text: `${clockText(event.occurredAtMs)} ${name} stopped` },
      ];
    }
    case 'assessment': {
      const name = interventionName(library, event.intervention);
      return [{ ...at, kind: 'assessment', label: name, text: `${clockText(event.occurredAtMs)} ${name}` }];
    }
    case 'device-attached':
    case 'device-removed': {
      const word = event.kind === 'device-attached' ? 'on' : 'off';
      const name = `${event.device.replaceAll('-', ' ')} ${word}`;
      return [{ ...at, kind: 'act', label: name, text: `${clockText(event.occurredAtMs)} ${name}` }];
    }
    case 'cue-spoken': {
      const cue = scenario.threads
        .flatMap((thread) => thread.states.flatMap((state) => state.cues))
        .find((one) => one.id === event.cue);
      const text = cue ? `${cue.by}: “${cue.says}”` : event.cue;
      return [{ ...at, kind: 'cue', label: text, text: `${clockText(event.occurredAtMs)} ${text}` }];
    }
    case 'note':
      return [{ ...at, kind: 'note', label: event.text, text: `${clockText(event.occurredAtMs)} ${event.text}` }];
    case 'mark': {
      const label = markName(run.events, event.seq) ?? event.label ?? 'Marked';
      return [{ ...at, kind: 'mark', label, text: `${clockText(event.occurredAtMs)} ${label}` }];
    }
    case 'state-forced': {
      const label = `Faculty moved to ${event.state.replaceAll('-', ' ')}`;
      return [{ ...at, kind: 'steering', label, text: `${clockText(event.occurredAtMs)} ${label}` }];
    }
    case 'vital-overridden': {
      const label = `Faculty set a vital to ${plainNumber(event.to)}`;
      return [{ ...at, kind: 'steering', label, text: `${clockText(event.occurredAtMs)} ${label} (${event.vital})` }];
    }
    default:
      return liveMarks(event, scenario, run.events);
  }
}

/** What each test brought back, at the moment the team could know it. One whose request was withdrawn is left out. */
function resultMarks(run: RunExport, log: PreparedLog, toMs: number): TimelineMark[] {
  const asked = new Set(log.events.map((event) => event.seq));
  return run.derived.flatMap((fact): TimelineMark[] => {
    if (fact.kind !== 'result' || fact.atMs > toMs || !asked.has(fact.seq)) return [];
    const held = fact.overridden.length > 0 ? ', while faculty held some of these values' : '';
    return [
      {
        seq: fact.seq,
        atMs: fact.atMs,
        kind: 'result',
        label: fact.text,
        text: `${clockText(fact.atMs)} Result of the sample of ${clockText(fact.sampledAtMs)}. ${fact.text}${held}`,
        warn: false,
        nth: null,
      },
    ];
  });
}

/** "Adrenaline IM 300 micrograms"; a name that already says its flow does not say it twice. */
function withAmount(name: string, amount: string): string {
  return amount === '' || name.includes(amount) ? name : `${name} ${amount}`;
}

function kindOf(known: Intervention | undefined): TimelineMark['kind'] {
  switch (known?.kind) {
    case 'drug':
      return 'drug';
    case 'fluid':
      return 'fluid';
    case 'oxygen':
      return 'oxygen';
    case 'call':
    case 'team':
      return 'call';
    case 'assessment':
    case 'test':
      return 'assessment';
    case 'procedure':
      return 'procedure';
    default:
      return 'act';
  }
}

/** Is this event what a target found fault with? */
function isTrouble(scorecard: Scorecard, event: RunEvent): boolean {
  return scorecard.results.some(
    (one) =>
      (one.result === 'order-broken' ||
        one.result === 'contraindicated-given' ||
        one.dose?.verdict === 'critical-error' ||
        one.dose?.verdict === 'minor-error') &&
      one.evidence.some((evidence) => evidence.seq === event.seq) &&
      one.actualMs === event.occurredAtMs,
  );
}

function markName(events: readonly RunEvent[], seq: number): string | null {
  const named = events.filter((event) => event.kind === 'mark-named' && event.targetSeq === seq);
  const last = named[named.length - 1];
  return last?.kind === 'mark-named' ? last.label : null;
}

function numberDoses(marks: readonly TimelineMark[], log: PreparedLog): TimelineMark[] {
  const counts = new Map<string, number>();
  const nthBySeq = new Map<number, number>();
  for (const act of log.acts) {
    if (act.seq === null || act.given === null) continue;
    const nth = (counts.get(act.intervention) ?? 0) + 1;
    counts.set(act.intervention, nth);
    nthBySeq.set(act.seq, nth);
  }
  return marks.map((mark) =>
    mark.kind === 'drug' || mark.kind === 'fluid' ? { ...mark, nth: nthBySeq.get(mark.seq ?? -1) ?? null } : mark,
  );
}

// ------------------------------------------------------------------ states, targets, moments

function threads(run: RunExport, track: readonly TrackRow[], toMs: number): TimelineModel['threads'] {
  return run.definition.scenario.threads.map((thread) => {
    const title = (id: string): string => thread.states.find((one) => one.id === id)?.title ?? id.replaceAll('-', ' ');
    const entered = run.derived
      .filter(
        (one): one is Extract<Derived, { kind: 'state-entered' }> =>
          one.kind === 'state-entered' && one.thread === thread.id,
      )
      .filter((one) => one.atMs < toMs)
      .map((one) => ({ state: one.state, atMs: one.atMs, because: one.because, forced: one.forced }));
    const starts = entered.length > 0 ? entered : fromTrack(track, thread.id);
    const states = starts.map((one, index): TimelineState => ({
      state: one.state,
      title: title(one.state),
      fromMs: one.atMs,
      toMs: starts[index + 1]?.atMs ?? toMs,
      because: one.because,
      forced: one.forced,
    }));
    return { id: thread.id, title: thread.title, states: states.filter((one) => one.toMs > one.fromMs) };
  });
}

function fromTrack(track: readonly TrackRow[], thread: string) {
  const out: { state: string; atMs: number; because: string; forced: boolean }[] = [];
  for (const row of track) {
    const state = row.states[thread];
    if (state !== undefined && state !== out[out.length - 1]?.state)
      out.push({ state, atMs: row.atMs, because: '', forced: false });
  }
  return out;
}

function targetBand(one: Scorecard['results'][number]): TimelineTarget[] {
  if (one.clockStartMs === null || one.dueMs === null) return [];
  const fade = Math.max(0, (one.target.limitMs ?? 0) - (one.target.dueMs ?? 0));
  return [
    {
      id: one.target.id,
      says: one.target.says,
      result: one.result,
      critical: one.target.critical,
      unverifiedSource: one.unverifiedSource,
      fromMs: one.clockStartMs,
      dueMs: one.dueMs,
      limitMs: one.dueMs + fade,
      actualMs: one.actualMs,
      latenessMs: one.latenessMs,
    },
  ];
}

function moments(scorecard: Scorecard, key: TimelineKeyStep | null): TimelineMoment[] {
  const { clocks } = scorecard;
  const adrenalineMs = asksForAdrenaline(scorecard) ? clocks.firstAdrenalineMs : null;
  const all: (Omit<TimelineMoment, 'atMs' | 'because'> & { atMs: number | null; because?: string | null })[] = [
    { id: 'arrival', label: 'Arrival', atMs: clocks.arrivalMs },
    {
      id: 'could-have-seen',
      label: 'Could have seen',
      atMs: clocks.couldHaveSeenMs,
      because: clocks.couldHaveSeenBecause,
    },
    { id: 'did-see', label: 'Did see', atMs: clocks.didSeeMs, because: clocks.didSeeBecause },
    { id: 'said', label: 'Said', atMs: clocks.saidMs },
    { id: 'called-for', label: 'Called for', atMs: key?.since === 'called-for' ? key.fromMs : null },
    {
      id: 'key-step',
      label: key?.label ?? 'First adrenaline',
      atMs: key ? key.toMs : adrenalineMs,
      because: key?.faultSays ?? null,
      ...(key?.fault ? { fault: key.fault } : {}),
    },
    { id: 'end', label: 'End', atMs: clocks.endMs },
  ];
  return all.flatMap(({ atMs, because, ...rest }) =>
    atMs === null ? [] : [{ ...rest, atMs, because: because ?? null }],
  );
}
