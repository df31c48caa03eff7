/**
 * One run as others use it: events in, state out. A thin shell around `RunCore` that keeps the log, the queue of events
 * whose time has not come, snapshots for undo, the list of derived facts and the 1 Hz track.
 */
import { chestSides, explain } from '@breathline/patient';
import type { ChestSide, Explanation, PatientScores, VitalId } from '@breathline/patient';
import type { Condition } from '@breathline/scenario';
import { applyEvent } from '../events/apply.ts';
import {
  STEP_MS,
  type Derived,
  type RunDefinition,
  type RunEvent,
  type RunPhase,
  type RunView,
  type TrackRow,
} from '../types.ts';
import { RunCore, type CoreSnapshot } from './core.ts';
import { checkEvent } from './check-event.ts';
import { ErrandClock } from './errand-clock.ts';
import { I, PHASE, PHASES } from './layout.ts';
import { planOf } from './plan.ts';
import { outlineOf, retell } from './retold.ts';
import { buildTrackRow, buildView, scoresNow } from './view.ts';
import { arrestNow, steeringWords } from '../live/apply.ts';
import type { ArrestBy } from '../live/arrest.ts';
import { errandsOf, foldLive } from '../live/fold.ts';
import type { LiveView } from '../live/types.ts';
import { affectedFrom, effectiveEvents, eventsOfTake, inOrder, isWithdrawable, withdrawnEvents } from './withdraw.ts';

/** Snapshots are kept this often, so that an undo recomputes little. */
export const SNAPSHOT_EVERY_MS = 30_000;

export interface RunOptions {
  /** Keep the 1 Hz track (default true). Without it nothing is allocated while stepping. */
  readonly keepTrack?: boolean;
  /** Keep snapshots for undo (default true). Without them an undo recomputes from the start. */
  readonly keepSnapshots?: boolean;
  /** Called after each step with the run at that moment. */
  readonly onTick?: (run: Simulation) => void;
  /** Conditions of the caller's own, evaluated every step; read with `watchedHolds`. */
  readonly watch?: readonly Condition[];
  /** Who decides when the model's heart would stop (default faculty, who are asked). */
  readonly arrestBy?: ArrestBy;
  /** Called for each transition taken, by its place in its state's list. */
  readonly onRule?: (thread: string, state: string, index: number) => void;
}

/** The longest time away that a run can be made to live through at once. */
const LONGEST_GAP_MS = 6 * 3_600_000;

const ERRANDS_MAY_CHANGE: ReadonlySet<string> = new Set(['errand-sent', 'errand-ended', 'event-withdrawn']);

/** One go at the scenario: where it comes from, how far it got, and moments to take it up from. */
interface Take {
  readonly take: number;
  readonly fromTake: number | null;
  readonly fromMs: number;
  /** Where it was left; of the present one, unused. */
  toMs: number;
  snapshots: CoreSnapshot[];
}

/** A whole run at one moment, to go back to. Opaque. */
export interface RunSnapshot {
  readonly core: CoreSnapshot;
  readonly log: readonly RunEvent[];
  readonly queue: readonly RunEvent[];
  readonly derived: readonly Derived[];
  readonly track: readonly TrackRow[];
  readonly refused: readonly string[];
  readonly takes: readonly Omit<Take, 'snapshots'>[];
}

export class Simulation {
  private readonly core: RunCore;
  private readonly log: RunEvent[] = [];
  private readonly known = new Set<number>();
  private readonly queue: RunEvent[] = [];
  private readonly derivedList: Derived[] = [];
  private readonly trackRows: TrackRow[] = [];
  /** Oldest first; the last is the one being played. */
  private takes: Take[];
  /** What counts in the present take, until the log changes. */
  private effective: readonly RunEvent[] | null = null;
  /** What counts in earlier takes alone, likewise. */
  private others: readonly RunEvent[] | null = null;
  /**
   * Withdrawals that could not be. Kept beside the core: in it, a later undo would forget those since its snapshot and
   * keep the others, and the state would depend on where snapshots happen to lie.
   */
  private refused: string[] = [];
  private readonly keepTrack: boolean;
  private readonly keepSnapshots: boolean;
  private readonly onTick: ((run: Simulation) => void) | undefined;
  private readonly sink = (derived: Derived): void => {
    const { take } = this;
    this.derivedList.push(take === 1 || derived.kind === 'take-began' ? derived : { ...derived, take });
  };
  private readonly errands = new ErrandClock(this.sink);

  constructor(
    readonly definition: RunDefinition,
    options: RunOptions = {},
  ) {
    this.keepTrack = options.keepTrack ?? true;
    this.keepSnapshots = options.keepSnapshots ?? true;
    this.onTick = options.onTick;
    this.takes = [{ take: 1, fromTake: null, fromMs: 0, toMs: 0, snapshots: [] }];
    this.core = new RunCore(planOf(definition, options.watch ?? []), this.sink, options.arrestBy);
    this.core.onRule = options.onRule;
    this.present.snapshots.push(this.core.snapshot());
    if (this.keepTrack) this.trackRows.push(buildTrackRow(this.core));
  }

  /** Run-clock ms, a multiple of STEP_MS. */
  get clockMs(): number {
    return this.core.clockMs;
  }

  /** Which go at the scenario is being played; 1 unless wound back. */
  get take(): number {
    return this.takes.at(-1)!.take;
  }

  private get present(): Take {
    return this.takes.at(-1)!;
  }

  get phase(): RunPhase {
    return PHASES[this.core.ints[I.phase]!]!;
  }

  /** Everything derived so far, in order. Only ever grows: keep an index as your cursor. */
  get derived(): readonly Derived[] {
    return this.derivedList;
  }

  /** What was derived from `cursor` (0-based) on, and the cursor to ask with next time. */
  derivedSince(cursor: number): { readonly derived: readonly Derived[]; readonly cursor: number } {
    return { derived: this.derivedList.slice(cursor), cursor: this.derivedList.length };
  }

  /** One row a second since the start, take by take, as it was shown at the time; an undo never rewrites it. */
  get track(): readonly TrackRow[] {
    return this.trackRows;
  }

  /** Events applied so far, in the order applied. */
  get events(): readonly RunEvent[] {
    return this.log;
  }

  /** Events whose time has not come. */
  get pending(): readonly RunEvent[] {
    return this.queue;
  }

  /** Whether a watched condition (see RunOptions.watch) holds now. */
  watchedHolds(index: number): boolean {
    return this.core.watchedNow[index] ?? false;
  }

  /** Sequence numbers now withdrawn: in the take they belong to, or in the present one. */
  withdrawn(): ReadonlySet<number> {
    return withdrawnEvents(this.log, this.take);
  }

  /** Events that count in the present take, in the order of effect. */
  private counting(): readonly RunEvent[] {
    this.effective ??= effectiveEvents(this.log, this.take);
    return this.effective;
  }

  private logChanged(): void {
    this.effective = null;
    this.others = null;
  }

  /**
   * Takes an event. One whose time is now is applied at once; a later one waits for its time. Winding back is done at
   * once. An event of an earlier take is kept in the log and changes nothing here. Throws EngineError when its time is
   * not on a step or has passed, its number is taken, or its take can not be: nothing is then changed.
   */
  apply(event: RunEvent): void {
    checkEvent(event, { core: this.core, known: this.known, takes: this.takes });
    if (event.kind === 'wound-back') return this.windBack(event);
    this.known.add(event.seq);
    if (event.take < this.take) return this.addToEarlier(event);
    let at = this.queue.length;
    while (at > 0 && inOrder(event, this.queue[at - 1]!) < 0) at--;
    this.queue.splice(at, 0, event);
    this.applyDue();
  }

  /** A new take, from a moment of any take so far. What has not come yet in the take that is left never will. */
  private windBack(event: Extract<RunEvent, { kind: 'wound-back' }>): void {
    const left = this.present;
    left.toMs = this.clockMs;
    this.log.push(...this.queue, event);
    this.queue.length = 0;
    this.known.add(event.seq);
    const from = this.takes.find((each) => each.take === event.fromTake)!;
    this.takes.push({
      take: event.take,
      fromTake: event.fromTake,
      fromMs: event.toMs,
      toMs: event.toMs,
      snapshots: from.snapshots.filter((snapshot) => snapshot.clockMs <= event.toMs),
    });
    this.logChanged();
    this.recompute(event.toMs, event.toMs);
    const errands = errandsOf(this.counting(), event.toMs);
    this.errands.reset(errands.filter(({ state }) => state !== 'under-way').map(({ seq }) => seq));
    this.lookForErrands();
    this.sink({ kind: 'take-began', atMs: event.toMs, take: event.take, fromTake: event.fromTake });
  }

  /** Something said of a take that is over: it counts there, and in takes wound back to it from now on. */
  private addToEarlier(event: RunEvent): void {
    this.log.push(event);
    this.logChanged();
    const take = this.takes.find((each) => each.take === event.take);
    if (take === undefined) return;
    const fromMs = affectedFrom(this.log, event);
    take.snapshots = take.snapshots.filter((snapshot) => snapshot.clockMs === 0 || snapshot.clockMs <= fromMs);
  }

  /**
   * Runs the clock on to `ms` (rounded down to a step), applying each waiting event at its time and visiting every step.
   * Stops early when the run is not running or is paused or ended on the way. Returns the clock reached.
   */
  advanceTo(ms: number): number {
    const { core } = this;
    const until = Number.isFinite(ms) ? ms : core.clockMs;
    for (;;) {
      this.applyDue();
      if (core.ints[I.phase] !== PHASE.running || core.clockMs + STEP_MS > until) return core.clockMs;
      this.step();
    }
  }

  private step(): void {
    const { core } = this;
    core.step();
    const clock = core.clockMs;
    if (this.keepTrack && clock % 1000 === 0) this.trackRows.push(buildTrackRow(core));
    if (this.keepSnapshots && clock % SNAPSHOT_EVERY_MS === 0) this.present.snapshots.push(core.snapshot());
    if (clock >= this.errands.nextMs) this.lookForErrands();
    this.onTick?.(this);
  }

  private lookForErrands(): void {
    this.errands.look(this.counting(), this.clockMs);
  }

  private applyDue(): void {
    while (this.queue.length > 0 && this.queue[0]!.appliedAtMs <= this.core.clockMs) {
      const event = this.queue.shift()!;
      this.log.push(event);
      this.logChanged();
      if (event.kind === 'event-withdrawn') this.withdraw(event.targetSeq, event.seq);
      else applyEvent(this.core, event);
      if (event.kind === 'run-resumed') this.liveThrough(event.gapMs ?? 0);
      else if (ERRANDS_MAY_CHANGE.has(event.kind)) this.lookForErrands();
    }
  }

  /** Time that passed while the run could not go on, and that counts: the patient lives through it at once. */
  private liveThrough(gapMs: number): void {
    if (!(gapMs > 0) || this.core.ints[I.phase] !== PHASE.running) return;
    const until = this.core.clockMs + Math.min(gapMs, LONGEST_GAP_MS);
    while (this.core.clockMs + STEP_MS <= until) this.step();
  }

  /** The future equals the log without the event; what was shown stays shown. */
  private withdraw(targetSeq: number, bySeq: number): void {
    const target = eventsOfTake(this.log, this.take).find((event) => event.seq === targetSeq);
    if (target === undefined || targetSeq === bySeq) {
      this.refuse(`Event ${bySeq} withdraws event ${targetSeq}, which is not in the log.`);
      return;
    }
    if (!isWithdrawable(target)) {
      this.refuse(`Event ${targetSeq} (${target.kind}) cannot be withdrawn: it moved the clock.`);
      return;
    }
    const before = outlineOf(this.core);
    this.recompute(affectedFrom(this.log, target));
    const because = `event ${targetSeq} was ${target.kind === 'event-withdrawn' ? 'restored' : 'withdrawn'}`;
    retell(this.core, before, because, this.derivedList, this.sink);
  }

  private refuse(message: string): void {
    if (this.refused.includes(message) || this.refused.length >= 200) return;
    this.refused.push(message);
    this.sink({ kind: 'fault', atMs: this.core.clockMs, message });
  }

  /** Recomputes the moment `now` from the log as it stands, from the latest snapshot not after `fromMs`. */
  private recompute(fromMs: number, now = this.core.clockMs): void {
    const { core } = this;
    const { snapshots } = this.present;
    let keep = snapshots.length - 1;
    while (keep > 0 && snapshots[keep]!.clockMs > fromMs) keep--;
    snapshots.length = keep + 1;
    core.sink = null;
    core.restore(snapshots[keep]!);
    const events = this.counting().filter(
      (event) => event.kind !== 'event-withdrawn' && event.appliedAtMs >= core.clockMs,
    );
    let next = 0;
    for (;;) {
      while (next < events.length && events[next]!.appliedAtMs <= core.clockMs) applyEvent(core, events[next++]!);
      if (core.clockMs >= now || core.ints[I.phase] !== PHASE.running) break;
      core.step();
      if (this.keepSnapshots && core.clockMs % SNAPSHOT_EVERY_MS === 0) snapshots.push(core.snapshot());
    }
    core.ints[I.take] = this.take;
    core.sink = this.sink;
  }

  /** The whole run now, as faculty may see it. Allocates; call it when a frame is due. */
  view(): RunView {
    const view = { ...buildView(this.core), live: this.live() };
    return this.refused.length === 0 ? view : { ...view, faults: [...view.faults, ...this.refused] };
  }

  /** What stands around the patient now; part of `view`. */
  live(): LiveView {
    const { clockMs, take } = this;
    const counting = this.counting();
    return foldLive({
      events: counting,
      elsewhere: take === 1 ? [] : this.elsewhere(counting),
      takes: this.takes.map(({ take: number, fromTake, fromMs, toMs }) => ({
        take: number,
        fromTake,
        fromMs,
        toMs: number === take ? clockMs : toMs,
      })),
      clockMs,
      arrest: arrestNow(this.core),
      family: this.definition.scenario.family,
    });
  }

  /** What counts in earlier takes and is no part of this one. */
  private elsewhere(counting: readonly RunEvent[]): readonly RunEvent[] {
    if (this.others === null) {
      const here = new Set(counting);
      const gone = this.withdrawn();
      this.others = this.log.filter((event) => !here.has(event) && !gone.has(event.seq));
    }
    return this.others;
  }

  /** What is true and shown now, as one row. */
  trackRow(): TrackRow {
    return buildTrackRow(this.core);
  }

  /** Why a vital is what it is, from the model. */
  explain(vital: VitalId): Explanation {
    const why = explain(this.core.plan.model, this.core.patient, vital);
    const steered = steeringWords(this.core);
    return steered === null ? why : { ...why, text: `${why.text} ${steered}` };
  }

  /** Bedside scores that fit the patient now, with every item; from true values, for faculty. */
  scores(): PatientScores {
    return scoresNow(this.core);
  }

  /** What is true of each side of the chest now, left and right; for sounds, never as numbers for learners. */
  chestSides(): readonly [ChestSide, ChestSide] {
    return chestSides(this.core.plan.model, this.core.patient);
  }

  /** A fixed integer hash of the complete state, bit for bit: 16 hexadecimal digits. */
  hash(): string {
    return this.core.hash();
  }

  snapshot(): RunSnapshot {
    return {
      core: this.core.snapshot(),
      log: this.log.slice(),
      queue: this.queue.slice(),
      derived: this.derivedList.slice(),
      track: this.trackRows.slice(),
      refused: this.refused.slice(),
      takes: this.takes.map(({ take, fromTake, fromMs, toMs }) => ({ take, fromTake, fromMs, toMs })),
    };
  }

  /** Goes back to (or takes up) a snapshot of a run of the same definition. */
  restore(from: RunSnapshot): void {
    this.core.restore(from.core);
    this.log.splice(0, Infinity, ...from.log);
    this.queue.splice(0, Infinity, ...from.queue);
    this.known.clear();
    for (const event of [...from.log, ...from.queue]) this.known.add(event.seq);
    this.derivedList.splice(0, Infinity, ...from.derived);
    this.trackRows.splice(0, Infinity, ...from.track);
    this.refused = from.refused.slice();
    // Snapshots after this moment belong to another future; undo then recomputes from the start.
    const first = this.takes[0]!.snapshots[0]!;
    this.takes = from.takes.map((take) => ({ ...take, snapshots: [first] }));
    this.logChanged();
    this.errands.reset(from.derived.flatMap((fact) => (fact.kind === 'errand-came' ? [fact.seq] : [])));
    this.lookForErrands();
  }
}

/** A run at time 0, ready to be started. Throws EngineError only for a definition that cannot be run at all. */
export function createRun(definition: RunDefinition, options?: RunOptions): Simulation {
  return new Simulation(definition, options);
}
