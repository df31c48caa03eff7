/**
 * A run as experience statements (xAPI 1.0.3; IEEE 9274.1.1-2023 keeps the same statement). Actors are pseudonymous
 * accounts, never mail addresses. Ids are made from the run and the event, so that sending twice stores once.
 */
import { v5 as uuidV5 } from 'uuid';
import { isoOf, wallMs } from './wall-time.ts';
import { exportOfTake, type RunEvent, type RunExport } from '@breathline/engine';
import type { Scorecard, TargetResult } from '../types.ts';
import { CSV_CAUTION } from './csv.ts';
import { effectiveLog } from './effective.ts';

export interface XapiOptions {
  /** An address the site controls; account names are looked up under it. */
  readonly homePage: string;
  /** The team's pseudonym, e.g. "team-7f3a". */
  readonly pseudonym: string;
  /** Course or programme, for grouping. */
  readonly course?: string;
}

export interface XapiStatement {
  readonly id: string;
  readonly actor: {
    readonly objectType: 'Agent';
    readonly account: { readonly homePage: string; readonly name: string };
  };
  readonly verb: { readonly id: string; readonly display: Readonly<Record<string, string>> };
  readonly object: {
    readonly objectType: 'Activity';
    readonly id: string;
    readonly definition: {
      readonly type: string;
      readonly name: Readonly<Record<string, string>>;
      readonly description?: Readonly<Record<string, string>>;
    };
  };
  readonly result?: {
    readonly success?: boolean;
    readonly completion?: boolean;
    readonly duration?: string;
    readonly score?: { readonly scaled: number };
    readonly extensions?: Readonly<Record<string, unknown>>;
  };
  readonly context: {
    readonly registration: string;
    readonly platform: string;
    readonly language: string;
    readonly contextActivities: {
      readonly parent: readonly { readonly id: string }[];
      readonly grouping?: readonly { readonly id: string }[];
      readonly category: readonly { readonly id: string }[];
    };
    readonly extensions: Readonly<Record<string, unknown>>;
  };
  readonly timestamp: string;
}

/** Namespace of our ids: the version-5 UUID of "breathline" under the published DNS namespace. */
const NAMESPACE = uuidV5('breathline', uuidV5.DNS);
const VERBS = 'http://adlnet.gov/expapi/verbs/';
const SIMULATION = 'http://adlnet.gov/expapi/activities/simulation';
const OWN = 'urn:breathline:';
const TYPES = { state: `${OWN}type:state`, action: `${OWN}type:action`, target: `${OWN}type:target` } as const;

/** Names a run's team to a record store without naming anyone; two runs never share it. */
export function teamPseudonym(runId: string): string {
  return `team-${uuidV5(`team of ${runId}`, NAMESPACE).slice(0, 13)}`;
}

/** ISO 8601 duration of milliseconds, seconds to a hundredth at most: "PT6M30S". */
export function isoDuration(ms: number): string {
  const whole = Math.max(0, Math.round(ms / 10)) / 100;
  const hours = Math.floor(whole / 3600);
  const minutes = Math.floor((whole - hours * 3600) / 60);
  const rest = Math.round((whole - hours * 3600 - minutes * 60) * 100) / 100;
  const parts = `${hours > 0 ? `${hours}H` : ''}${minutes > 0 ? `${minutes}M` : ''}${rest > 0 ? `${rest}S` : ''}`;
  return `PT${parts === '' ? '0S' : parts}`;
}

/** Id parts of a URN: what is not plain is written as its code points, so that two names never meet. */
const part = (text: string): string => encodeURIComponent(text).replaceAll('%', '.');

/** The statements of a run, oldest first. Pure: the same run and options give the same statements. */
export function xapiStatements(whole: RunExport, card: Scorecard, options: XapiOptions): readonly XapiStatement[] {
  const run = exportOfTake(whole, card.take);
  const { scenario, library } = run.definition;
  const registration = uuidV5(run.runId, NAMESPACE);
  const scenarioId = `${OWN}scenario:${part(scenario.id)}`;
  const startedMs = wallOfZero(run);
  const at = (ms: number): string => isoOf(startedMs + ms);
  const statement = (
    key: string,
    verb: string,
    object: XapiStatement['object'],
    timestamp: string,
    result?: XapiStatement['result'],
  ): XapiStatement => ({
    id: uuidV5(`${run.runId}/${card.take}/${key}`, NAMESPACE),
    actor: { objectType: 'Agent', account: { homePage: options.homePage, name: options.pseudonym } },
    verb: { id: verb.includes(':') ? verb : `${VERBS}${verb}`, display: { 'en-GB': verb } },
    object,
    ...(result === undefined ? {} : { result }),
    context: {
      registration,
      platform: 'Breathline',
      language: 'en-GB',
      contextActivities: {
        parent: [{ id: scenarioId }],
        ...(options.course === undefined ? {} : { grouping: [{ id: `${OWN}course:${part(options.course)}` }] }),
        category: [{ id: `${OWN}profile:1` }],
      },
      extensions: {
        [`${OWN}ext:simulation`]: true,
        [`${OWN}ext:caution`]: CSV_CAUTION,
        [`${OWN}ext:take`]: card.take,
      },
    },
    timestamp,
  });
  const simulation: XapiStatement['object'] = {
    objectType: 'Activity',
    id: scenarioId,
    definition: { type: SIMULATION, name: { 'en-GB': scenario.title }, description: { 'en-GB': card.caution } },
  };
  const out: (readonly [number, XapiStatement])[] = [];
  const push = (ms: number, one: XapiStatement): void => void out.push([ms, one]);
  push(0, statement('start', 'initialized', simulation, at(0)));
  for (const fact of run.derived) {
    if (fact.kind !== 'state-entered' || fact.from === null) continue;
    const title =
      scenario.threads.find(({ id }) => id === fact.thread)?.states.find(({ id }) => id === fact.state)?.title ??
      fact.state;
    push(
      fact.atMs,
      statement(
        `state/${fact.thread}/${fact.state}/${fact.atMs}`,
        'progressed',
        {
          objectType: 'Activity',
          id: `${scenarioId}:state:${part(fact.thread)}:${part(fact.state)}`,
          definition: { type: TYPES.state, name: { 'en-GB': title } },
        },
        at(fact.atMs),
      ),
    );
  }
  for (const event of effectiveLog(run, card.take)) {
    if (event.kind !== 'intervention' && event.kind !== 'assessment') continue;
    if (event.kind === 'intervention' && event.step !== 'given') continue;
    const name = library.interventions.find(({ id }) => id === event.intervention)?.name ?? event.intervention;
    const timed = card.results.find((one) => one.evidence.some(({ seq }) => seq === event.seq));
    push(
      event.occurredAtMs,
      statement(
        `event/${event.seq}`,
        'interacted',
        {
          objectType: 'Activity',
          id: `${OWN}action:${part(event.intervention)}`,
          definition: { type: TYPES.action, name: { 'en-GB': name } },
        },
        at(event.occurredAtMs),
        resultOf(event, timed, card),
      ),
    );
  }
  const endMs = card.clocks.endMs;
  push(
    endMs,
    statement('end', 'terminated', simulation, at(endMs), { completion: true, duration: isoDuration(endMs) }),
  );
  if (card.score.fraction !== null) {
    push(
      endMs,
      statement('score', `${VERBS}scored`, simulation, at(endMs), { score: { scaled: card.score.fraction } }),
    );
  }
  return out.sort((a, b) => a[0] - b[0]).map(([, one]) => one);
}

function resultOf(event: RunEvent, timed: TargetResult | undefined, card: Scorecard): XapiStatement['result'] {
  // `duration` would be how long the act itself took (xAPI-Data 2.4.5); how long it was in coming is our own to say.
  const { couldHaveSeenMs, arrivalMs } = card.clocks;
  const since = event.occurredAtMs - (couldHaveSeenMs ?? arrivalMs);
  const extensions = {
    ...(since >= 0
      ? { [`${OWN}ext:since-${couldHaveSeenMs === null ? 'arrival' : 'could-have-seen'}`]: isoDuration(since) }
      : {}),
    ...(timed === undefined
      ? {}
      : {
          [`${OWN}ext:target-result`]: timed.result,
          ...(timed.adjusted === undefined ? {} : { [`${OWN}ext:faculty-result`]: timed.adjusted.result }),
          [`${OWN}ext:source`]: `${timed.source.organisation}, ${timed.source.document}, ${timed.source.edition}`,
          [`${OWN}ext:source-checked`]: !timed.unverifiedSource,
        }),
  };
  return {
    // Only a line whose source a named clinician has checked may call an act a success or not.
    ...(timed === undefined || timed.unverifiedSource ? {} : { success: (timed.adjusted ?? timed).result === 'met' }),
    ...(Object.keys(extensions).length === 0 ? {} : { extensions }),
  };
}

/** Wall time of run-clock zero, ms since 1970: from the start event, or the export's own date. */
function wallOfZero(run: RunExport): number {
  const start = run.events.find(({ kind }) => kind === 'run-started');
  const found = wallMs(start?.wallTime ?? run.createdAt);
  return Number.isFinite(found) ? found : wallMs(run.createdAt);
}
