/** What follows the emergency: handover, how long to watch, blood for tryptase, referral, plan for going home. */
import type { RunExport } from '@breathline/engine';
import type { GuidelinePack, ObservationRule } from '@breathline/scenario';
import { firstHeldMs, type ConditionContext } from '../condition.ts';
import { withdrawnSeqs, type PreparedLog } from '../prepare-log.ts';
import { clockText, listText } from '../words.ts';
import type { TargetResult } from '../types.ts';
import type { AftercareLine } from './types.ts';

const FROM: Readonly<Record<ObservationRule['from'], string>> = {
  onset: 'onset',
  'last-dose': 'the last dose',
  resolution: 'resolution',
};

/** The rule of the pack with the most hours among those that applied to this run; null when the pack has none. */
export function observationRule(pack: GuidelinePack, truth: ConditionContext): ObservationRule | null {
  const applying = (pack.observation ?? []).filter((rule) =>
    rule.when === undefined ? rule.orIf === undefined : firstHeldMs(rule.when, truth) !== null,
  );
  return applying.reduce<ObservationRule | null>(
    (most, rule) => (most && most.hours >= rule.hours ? most : rule),
    null,
  );
}

/**
 * What could ask for longer and is not known in a drill, in words, and the most hours it could ask for: never assumed
 * either way. Where something a short stay needs is lacking, the pack's next longer one applies.
 */
function notKnown(pack: GuidelinePack, rule: ObservationRule): { readonly hours: number; readonly text: string } {
  const longer = (pack.observation ?? []).filter(({ hours }) => hours > rule.hours).sort((a, b) => a.hours - b.hours);
  const parts: string[] = [];
  if (rule.needs !== undefined && longer[0] !== undefined)
    parts.push(`at least ${longer[0].hours} hours unless ${listText(rule.needs, 'and')}`);
  for (const { orIf, hours } of longer) {
    if (orIf !== undefined) parts.push(`at least ${hours} hours with ${listText(orIf, 'or')}`);
  }
  const most = longer.filter(({ orIf }) => orIf !== undefined).at(-1)?.hours ?? rule.hours;
  const next = rule.needs === undefined ? rule.hours : (longer[0]?.hours ?? rule.hours);
  return {
    hours: Math.max(most, next),
    text: parts.length === 0 ? '' : ` Not known in a drill: ${parts.join('; ')}.`,
  };
}

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
  // Said at or after the end counts as well: the bell often rings first.
  const inLog = new Set(log.events.map(({ seq }) => seq));
  const withdrawn = withdrawnSeqs(run.events);
  const counted = run.events.filter(
    (event) => inLog.has(event.seq) || (event.occurredAtMs >= log.endMs && !withdrawn.has(event.seq)),
  );
  const lines: AftercareLine[] = [handoverLine(counted, log)];

  const rule = observationRule(pack, truth);
  const chosen = counted.findLast((event) => event.kind === 'observation-chosen');
  if (rule === null) {
    if ((pack.observation ?? []).length > 0 || chosen) {
      lines.push(
        line('observation', 'Observation period', 'no-rule', 'This pack gives no period for what happened here.'),
      );
    }
  } else {
    const asked = `at least ${rule.hours} hours from ${FROM[rule.from]}`;
    const hours = chosen?.kind === 'observation-chosen' ? chosen : null;
    const gone = log.acts.find(({ intervention }) => intervention === 'sent-home');
    const planned = log.acts.some(({ intervention }) => intervention === 'observation-planned');
    const unsaid = planned ? 'A time was planned; how long was not logged' : 'No time was logged';
    const watched = hours === null ? unsaid : `${hours.hours} hours from ${FROM[hours.from]} chosen`;
    // Let go in the drill, before any watching could have been done.
    const left = gone === undefined ? '' : `; sent home or let go at ${clockText(gone.atMs)}`;
    const unknown = notKnown(pack, rule);
    const enough = hours !== null && hours.hours >= unknown.hours;
    const result =
      gone !== undefined || (hours !== null && hours.hours < rule.hours)
        ? 'below'
        : enough
          ? 'done'
          : hours !== null || planned
            ? 'in-part'
            : 'not-recorded';
    const text = `${watched}${left}. The pack asks for ${asked}: ${rule.says}.${enough ? '' : unknown.text}`;
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
