/**
 * The way through a debrief: which page stands there, which phase of the chosen structure that is, and what the log keeps of
 * it. Structure, length and clock are the log's, so that every screen of a debrief has the same.
 */
import { page } from '$app/state';
import type { DebriefSession } from '../session.svelte.ts';
import {
  firstOpening,
  keepStructure,
  lastStructure,
  structureOf,
  TEN_MINUTES,
  type Phase,
  type Structure,
} from './structures.ts';

const QUIET = ['welcome', 'reconcile', 'talk'] as const;
const OPEN = ['ten', 'timeline', 'replay', 'whatif', 'scorecard', 'discuss', 'summary'] as const;
export type Step = (typeof QUIET)[number] | (typeof OPEN)[number];
const STEPS: readonly Step[] = [...QUIET, ...OPEN];
const DEFAULT_MINUTES = 20;

export class Walk {
  readonly #session: DebriefSession;
  readonly #goto: (step: Step) => void;
  /** Chosen on this screen before any clock was started. */
  #ownStructure = $state<string>(lastStructure());
  #ownMinutes = $state(DEFAULT_MINUTES);

  /** In the address, so that a reload stays where it was and Back goes back. */
  readonly step: Step = $derived(STEPS.find((one) => one === page.url.searchParams.get('step')) ?? 'welcome');
  /** A page without numbers. */
  readonly quiet: boolean = $derived(QUIET.some((one) => one === this.step));
  /** The phases of the log that belong to a structure. */
  readonly #led = $derived.by(() =>
    (this.#session.board?.phases ?? []).filter(({ structure }) => structure !== null && structure !== TEN_MINUTES.id),
  );
  readonly structure: Structure = $derived(structureOf(this.#led.at(-1)?.structure ?? this.#ownStructure));
  readonly minutes: number = $derived(this.#led.at(-1)?.minutes ?? this.#ownMinutes);
  readonly phase: Phase = $derived(this.#phaseAt(this.step));

  constructor(session: DebriefSession, goTo: (step: Step) => void) {
    this.#session = session;
    this.#goto = goTo;
  }

  /** The phase after one of this structure. */
  after(phase: Phase): Phase | null {
    const { phases } = this.structure;
    return phases[phases.findIndex(({ id }) => id === phase.id) + 1] ?? null;
  }

  /** The log keeps that a phase is on; its clock runs from now. */
  mark(phase: Phase, structure: Structure = this.structure, minutes = this.minutes): void {
    const own = phase.id === 'ten-minutes' ? { structure: TEN_MINUTES.id } : { structure: structure.id, minutes };
    void this.#session.record({ kind: 'debrief-phase', phase: phase.id, ...own });
  }

  /** To a phase, which begins with that. */
  to(phase: Phase): void {
    if (this.#session.board?.phase !== phase.id) this.mark(phase);
    if (this.#pageOf(phase) !== this.step) this.#goto(this.#pageOf(phase));
  }

  /** Opens the analysis where its page stands already. */
  openHere(): void {
    const phase = this.step === 'ten' ? (TEN_MINUTES.phases[0] as Phase) : this.phase;
    const opening = phase.opens ? phase : firstOpening(this.structure);
    this.mark(opening);
  }

  /** To a page. */
  go(step: Step): void {
    this.reached(step);
    this.#goto(step);
  }

  /** A page was reached: its phase is on, if any clock runs. */
  reached(step: Step): void {
    const { board } = this.#session;
    const phase = this.#phaseAt(step);
    if (board?.phase != null && board.phase !== phase.id) this.mark(phase);
  }

  /** Another structure: the phase that stands there goes on in it, or the one most like it does. */
  choose(id: string): void {
    const next = structureOf(id);
    keepStructure(id);
    this.#ownStructure = id;
    const { board } = this.#session;
    const first = next.phases[0] as Phase;
    const seen = board?.opened === true && !this.quiet;
    const same = next.phases.find((one) => one.id === this.phase.id) ?? (seen ? firstOpening(next) : first);
    const away = this.step === 'talk' && same.page !== 'talk';
    if (board?.phase != null) this.mark(same, next);
    if (away) this.#goto(this.#pageOf(same));
  }

  /** The whole debrief is to take this long. */
  lasts(minutes: number): void {
    this.#ownMinutes = minutes;
    if (this.#session.board?.phase != null) this.mark(this.phase, this.structure, minutes);
  }

  #pageOf({ id, page: its }: Phase): Step {
    return id === 'ten-minutes' ? 'ten' : its;
  }

  /** Which phase a page belongs to: the one last opened of those held there, else the first. */
  #phaseAt(step: Step): Phase {
    const { phases } = this.structure;
    const first = phases[0] as Phase;
    if (step === 'welcome' || step === 'reconcile') return first;
    const held = phases.filter((one) => (step === 'talk' || step === 'summary' ? one.page === step : one.opens));
    const last = this.#led.findLast(({ phase }) => held.some(({ id }) => id === phase))?.phase;
    return held.find(({ id }) => id === last) ?? held[0] ?? first;
  }
}
