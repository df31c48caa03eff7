/** What follows the emergency: handover, how long to watch, blood for tryptase, referral, plan for going home. */
import type { RunExport } from '@breathline/engine';
import type { GuidelinePack, ObservationRule } from '@breathline/scenario';
import type { ConditionContext } from '../condition.ts';
import { withdrawnSeqs, type PreparedLog } from '../prepare-log.ts';
import { clockText, listText } from '../words.ts';
import type { TargetResult } from '../types.ts';
import { circumstancesToAsk, notKnown, observationRule, toldText } from './observation.ts';
import type { AftercareLine, Circumstance } from './types.ts';

const FROM: Readonly<Record<ObservationRule['from'], string>> = {
  onset: 'onset',
  'last-dose': 'the last dose',
  resolution: 'resolution',
};

/**
 * The lines of aftercare. What nobody logged is "not recorded", never "not done". `results` are the scored lines of the
 * same pack: a tryptase line is read from there.
 */
export function aftercare(
  run: RunExport,
  pack: GuidelinePack,
  log: PreparedLog,
  truth: ConditionContext,
  results: readonly TargetResult[],
): readonly AftercareLine[] {
  const counted = countedEvents(run, log);
  const lines: AftercareLine[] = [handoverLine(counted, log)];

  const rule = observationRule(pack, truth, log.circumstances);
  const chosen = observationChosen(counted);
  if (rule === null) {
    if ((pack.observation ?? []).length > 0 || chosen) {
      lines.push(
        line('observation', 'Observation period', 'no-rule', 'This pack gives no period for what happened here.'),
      );
    }
  } else {
    const least = `at least ${rule.hours} hours from ${FROM[rule.from]}`;
    const gone = log.acts.find(({ intervention }) => intervention === 'sent-home');
    const planned = log.acts.some(({ intervention }) => intervention === 'observation-planned');
    const unsaid = planned ? 'A time was planned; how long was not logged' : 'No time was logged';
    const watched = chosen === null ? unsaid : `${chosen.hours} hours from ${FROM[chosen.from]} chosen`;
    // Let go in the drill, before any watching could have been done.
    const left = gone === undefined ? '' : `; sent home or let go at ${clockText(gone.atMs)}`;
    const unknown = notKnown(pack, rule, log.circumstances);
    const enough = chosen !== null && chosen.hours >= unknown.hours;
    const asked = circumstancesToAsk(pack, truth, log.circumstances, chosen?.hours ?? null);
    const byLog = observationRule(pack, truth);
    const told = toldText(asked, byLog, rule.hours);
    // What the rule is about by the log is not why it applies where an answer made it apply.
    const why = byLog?.id === rule.id ? ` (“${rule.says}”)` : '';
    const result =
      gone !== undefined || (chosen !== null && chosen.hours < rule.hours)
        ? 'below'
        : enough
          ? 'done'
          : chosen !== null || planned
            ? 'in-part'
            : 'not-recorded';
    const text = `${watched}${left}. The pack asks for ${least}${why}.${told}${enough ? '' : unknown.text}`;
    lines.push(line('observation', 'Observation period', result, text, rule.source));
  }
  const tryptase = results.find(({ target }) => target.interventions.includes('tryptase'));
  if (tryptase !== undefined) {
    const at = tryptase.actualMs;
    lines.push(
      line(
        'tryptase',
        tryptase.target.says,
        at === null ? 'not-recorded' : 'done',
        at === null ? 'No sample in the log.' : (tryptase.because ?? 'Sample taken.'),
        tryptase.source,
      ),
    );
  }
  for (const [id, says, interventions] of ACTS) {
    const act = log.acts.find((one) => interventions.includes(one.intervention));
    const offered = run.definition.library.interventions.some((item) => interventions.includes(item.id));
    if (!offered) continue;
    lines.push(
      line(
        id,
        says,
        act === undefined ? 'not-recorded' : 'done',
        act === undefined ? 'Nothing in the log.' : 'Logged.',
      ),
    );
  }
  return lines;
}

/** What to ask the team about how long to watch; see `circumstancesToAsk`. */
export function openCircumstances(
  run: RunExport,
  pack: GuidelinePack,
  log: PreparedLog,
  truth: ConditionContext,
): readonly Circumstance[] {
  const hours = observationChosen(countedEvents(run, log))?.hours ?? null;
  return circumstancesToAsk(pack, truth, log.circumstances, hours);
}

/** The events of the run, and what was said at or after its end: the bell often rings first. */
function countedEvents(run: RunExport, log: PreparedLog): RunExport['events'] {
  const inLog = new Set(log.events.map(({ seq }) => seq));
  const withdrawn = withdrawnSeqs(run.events);
  return run.events.filter(
    (event) => inLog.has(event.seq) || (event.occurredAtMs >= log.endMs && !withdrawn.has(event.seq)),
  );
}

type ObservationChosen = Extract<RunExport['events'][number], { kind: 'observation-chosen' }>;

/** The last time of watching that was said; null when none was. */
function observationChosen(events: RunExport['events']): ObservationChosen | null {
  return events.findLast((event) => event.kind === 'observation-chosen') ?? null;
}

/** Aftercare that is an act of the formulary. */
const ACTS: readonly (readonly [AftercareLine['id'], string, readonly string[]])[] = [
  ['referral', 'Referral or follow-up arranged', ['allergy-referral', 'referral-made']],
  ['discharge-plan', 'Plan for going home', ['discharge-plan', 'injector-training']],
];

function handoverLine(events: RunExport['events'], log: PreparedLog): AftercareLine {
  const says = 'Structured handover';
  const given = events.findLast((event) => event.kind === 'handover');
  if (given?.kind !== 'handover') {
    const spoken = log.acts.some(({ intervention }) => intervention === 'handover-given');
    return spoken
      ? line('handover', says, 'in-part', 'A handover was logged; its parts were not.')
      : line('handover', says, 'not-recorded', 'Nothing was logged.');
  }
  const parts = ['situation', 'background', 'assessment', 'recommendation'] as const;
  const missing: string[] = parts.filter((part) => !given.parts[part]);
  if (given.readBack !== 'full') missing.push(given.readBack === 'part' ? 'a full read-back' : 'a read-back');
  return missing.length === 0
    ? line('handover', says, 'done', 'All four parts heard, and read back.')
    : line('handover', says, 'in-part', `Not heard: ${listText(missing, 'and')}.`);
}

function line(
  id: AftercareLine['id'],
  says: string,
  result: AftercareLine['result'],
  text: string,
  source: AftercareLine['source'] = null,
): AftercareLine {
  return { id, says, result, text, source };
}
