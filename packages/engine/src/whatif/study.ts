/**
 * What if, asked again and again of one run: the courses without the edit are played once and kept, so that an answer
 * costs one replay, and its ranges come constant by constant. The whole study equals `whatIf` with the same edits.
 */
import { ageNorms, UNCERTAIN } from '@breathline/patient';
import { exportOfTake } from '../replay/export.ts';
import { profileOf } from '../run/plan.ts';
import { effectiveEvents } from '../run/withdraw.ts';
import type { RunDefinition, RunExport, WhatIfEdit } from '../types.ts';
import { ENGINE_VERSION } from '../version.ts';
import { courseOf, type Course, type CourseOptions, type Outcomes } from './outcomes.ts';
import { arrestByOf, difference, editLog, lengthOf, oddActs, OUTCOMES, withUncertain, type WhatIf } from './whatif.ts';

export class WhatIfStudy {
  readonly run: RunExport;
  readonly #options: CourseOptions;
  #base: Course | null = null;
  readonly #varied = new Map<string, Outcomes>();

  constructor(run: RunExport) {
    this.run = run;
    this.#options = {
      untilMs: lengthOf(exportOfTake(run)),
      pressureLimitMmHg: ageNorms(profileOf(run.definition).ageYears).systolicLowMmHg,
      take: run.scoredTake,
      arrestBy: arrestByOf(run),
    };
  }

  /** The run as it went, on today's engine. */
  get base(): Course {
    return (this.#base ??= this.#play(this.run.definition, this.run.events));
  }

  /** The answer without ranges. Throws EngineError for an edit that cannot be made. */
  answer(edits: readonly WhatIfEdit[]): WhatIf {
    const { run, base } = this;
    const events = editLog(run.events, edits, run.scoredTake);
    const alternative = this.#play(this.run.definition, events);
    return {
      engineVersion: ENGINE_VERSION,
      recordedWith: run.engineVersion,
      edits,
      base,
      alternative,
      events,
      differences: OUTCOMES.map((outcome) => difference(outcome, base.outcomes, alternative.outcomes, [])),
      oddActs: oddActs(effectiveEvents(events, run.scoredTake), alternative, base),
      identical: base.hash === alternative.hash && JSON.stringify(base.track) === JSON.stringify(alternative.track),
      uncertainConstants: 0,
    };
  }

  /** The same answer after each uncertain constant has been moved to both its ends, wider from one to the next. */
  *widen(answer: WhatIf): Generator<WhatIf> {
    const pairs: { base: Outcomes; alternative: Outcomes }[] = [];
    let done = 0;
    for (const { id, low, high } of UNCERTAIN) {
      for (const multiplier of [low, high]) {
        const varied = withUncertain(this.run.definition, id, multiplier);
        const key = `${id} ${multiplier}`;
        const base = this.#varied.get(key) ?? this.#play(varied, this.run.events).outcomes;
        this.#varied.set(key, base);
        pairs.push({ base, alternative: this.#play(varied, answer.events).outcomes });
      }
      done += 1;
      const differences = OUTCOMES.map((outcome) =>
        difference(outcome, answer.base.outcomes, answer.alternative.outcomes, pairs),
      );
      yield { ...answer, differences, uncertainConstants: done };
    }
  }

  #play(definition: RunDefinition, events: RunExport['events']): Course {
    return courseOf(definition, events, this.#options);
  }
}
