/**
 * What teams did in published series, to stand beside a run; never a target and never a percentile. Samples are small and
 * clocks differ, so each arm says its n and its clock.
 */
import type { RunExport } from '@breathline/engine';
import type { GuidelinePack, Source } from '@breathline/scenario';
import { firstAdrenalineFault, firstSoundAdrenaline } from '../first-adrenaline.ts';
import type { Act, PreparedLog } from '../prepare-log.ts';
import { durationText } from '../words.ts';
import type { Scorecard } from '../types.ts';
import type { Comparison } from './types.ts';

interface Arm {
  readonly id: string;
  readonly arm: string;
  readonly n: number;
  /** How sure that is, where the source does not say it plainly. */
  readonly nIs?: string;
  readonly medianMs: number;
  readonly lowerQuartileMs: number;
  readonly upperQuartileMs: number;
  readonly clock: string;
  /** Given by an injector, drawn up, or either. */
  readonly by: 'injector' | 'drawn-up' | 'either';
  readonly childrenOnly: boolean;
  readonly source: Source;
}

const MAA: Source = {
  organisation: 'Maa T, Scherzer DJ, Harwayne-Gidansky I, et al.',
  document:
    'Prevalence of errors in anaphylaxis in kids: a multicenter simulation-based study. J Allergy Clin Immunol Pract',
  edition: '2020;8:1239-1246',
  section:
    'Abstract, read in two universities’ repositories: 37 in-situ simulations in 28 institutions of 6 countries; the paper itself was not opened',
  doi: '10.1016/j.jaip.2019.11.013',
  verified: 'mirror',
  checkedOn: '2026-11-25',
};

/** Arms of published series of time to the first intramuscular adrenaline in simulated anaphylaxis. */
export const PUBLISHED_ARMS: readonly Arm[] = [
  {
    id: 'maa-2020-injector',
    arm: 'Children, simulated in situ, by auto-injector',
    n: 5,
    medianMs: 95_000,
    lowerQuartileMs: 77_000,
    upperQuartileMs: 252_000,
    clock: 'the abstract does not say from when their clock ran',
    by: 'injector',
    childrenOnly: true,
    source: MAA,
  },
  {
    id: 'maa-2020-drawn-up',
    arm: 'Children, simulated in situ, drawn up',
    n: 32,
    nIs: 'at most: 37 simulations less the 5 by injector; how many of them were timed is not in the abstract',
    medianMs: 263_000,
    lowerQuartileMs: 146_000,
    upperQuartileMs: 407_500,
    clock: 'the abstract does not say from when their clock ran',
    by: 'drawn-up',
    childrenOnly: true,
    source: MAA,
  },
  {
    id: 'melbourne-ed',
    arm: 'One children’s emergency department, simulated in situ',
    n: 23,
    medianMs: 177_000,
    lowerQuartileMs: 150_000,
    upperQuartileMs: 220_000,
    clock: 'the abstract does not say from when their clock ran',
    by: 'either',
    childrenOnly: true,
    source: {
      organisation: 'Price K, Cincotta DR, Spencer-Keefe FR, O’Donnell SM',
      document:
        'Utilising in situ simulation within translational simulation programmes to evaluate and improve multidisciplinary response to anaphylaxis in the paediatric emergency department. Emerg Med Australas',
      edition: '2023;35:246-253',
      section:
        'Abstract, read in two library catalogues: adrenaline was given in all 23; the paper itself was not opened',
      verified: 'mirror',
      checkedOn: '2026-11-25',
    },
  },
];

/** Error rates of the same series, for the words beside them. */
const PUBLISHED_ERROR_TEXT = 'In the multicentre series 25 of 37 simulations (68 %) had at least one medication error.';

/**
 * That rate, and what was seen here, so that a fast wrong dose is not read as a good one. Their errors were of any drug and
 * judged by their own list; here only doses the pack has a rule for and somebody saw are judged.
 */
export function publishedErrors(card: Scorecard): string {
  const verdicts = card.results.flatMap(({ dose }) => (dose == null ? [] : [dose.verdict]));
  const count = (...words: (typeof verdicts)[number][]): number =>
    verdicts.filter((verdict) => words.includes(verdict)).length;
  const wrong = count('minor-error', 'critical-error');
  const judged = wrong + count('right', 'partial');
  const unseen = count('unverified');
  const here =
    judged === 0
      ? 'In this run no dose could be judged'
      : `In this run ${wrong} of ${judged} ${judged === 1 ? 'dose' : 'doses'} judged ${wrong === 1 ? 'was' : 'were'} wrong`;
  return `${PUBLISHED_ERROR_TEXT} ${here}${unseen === 0 ? '' : `; ${unseen} given with the volume and strength not seen`}. Their errors were of any drug, by their own list.`;
}

/**
 * Where this run's first adrenaline falls beside each arm that fits it. Empty for a run in which no adrenaline was asked
 * for, or of an adult (the series are of children). The run's own clock here starts at arrival. A dose critically wrong
 * in size or route is named and not set beside them; the first one that is not takes its place.
 */
export function publishedComparisons(
  run: RunExport,
  pack: GuidelinePack,
  log: PreparedLog,
  card: Scorecard,
  ageYears: number,
): readonly Comparison[] {
  const asked = card.results.some(({ target }) => target.interventions.some((id) => /^adrenaline-(im|auto)/.test(id)));
  if (!asked || ageYears >= 18) return [];
  const { arrivalMs, firstAdrenalineMs } = card.clocks;
  const sound = firstSoundAdrenaline(run, pack, log, card);
  const first = sound && { atMs: sound.atMs - arrivalMs, by: howGiven(run, sound) };
  const runMs = first?.atMs ?? null;
  const fault = firstAdrenalineFault(card);
  const wrongMs =
    firstAdrenalineMs !== null && firstAdrenalineMs !== sound?.atMs ? firstAdrenalineMs - arrivalMs : null;
  const notCounted = wrongMs === null ? null : { runMs: wrongMs, says: fault?.says ?? 'not as the pack asks' };
  const before =
    notCounted === null
      ? fault === null
        ? ''
        : `The first dose was not right (${fault.says}). `
      : `The adrenaline at ${durationText(notCounted.runMs)} is not counted: ${notCounted.says}. `;
  return PUBLISHED_ARMS.filter((arm) => arm.by === 'either' || first === null || arm.by === first.by).map((arm) => {
    const place =
      runMs === null
        ? 'not-given'
        : runMs < arm.lowerQuartileMs
          ? 'before-lower-quartile'
          : runMs > arm.upperQuartileMs
            ? 'after-upper-quartile'
            : 'between-quartiles';
    const figures = `median ${durationText(arm.medianMs)}, middle half ${durationText(arm.lowerQuartileMs)} to ${durationText(arm.upperQuartileMs)}, n = ${arm.n}${arm.nIs === undefined ? '' : ` ${arm.nIs}`}`;
    // Of a handful of simulations three quarters is nobody in particular.
    const few = arm.n < 10;
    const where = {
      'before-lower-quartile': few ? 'sooner than their lower quartile' : 'sooner than three quarters of them',
      'between-quartiles': 'among the middle half of them',
      'after-upper-quartile': few ? 'later than their upper quartile' : 'later than three quarters of them',
      'not-given': 'nothing to set beside them',
    }[place];
    const small = few ? ' So few simulations say very little.' : '';
    return {
      id: arm.id,
      arm: arm.arm,
      n: arm.n,
      medianMs: arm.medianMs,
      lowerQuartileMs: arm.lowerQuartileMs,
      upperQuartileMs: arm.upperQuartileMs,
      clock: `${arm.clock}; here it is from arrival`,
      runMs,
      place,
      ...(notCounted === null ? {} : { notCounted }),
      text: `${before}${runMs === null ? `No ${notCounted ? 'sound' : 'first'} dose` : `First ${notCounted ? 'sound ' : ''}dose at ${durationText(runMs)}`}: ${where} (${figures}).${small}`,
      source: arm.source,
    };
  });
}

function howGiven(run: RunExport, act: Act): 'injector' | 'drawn-up' {
  const item = run.definition.library.interventions.find(({ id }) => id === act.intervention);
  return item?.deviceDoses === undefined ? 'drawn-up' : 'injector';
}
