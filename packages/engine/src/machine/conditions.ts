/**
 * Conditions, compiled once into small nodes. `evaluate` allocates nothing and visits every part of a compound condition,
 * so that each held duration is counted whatever its neighbours say. `closeness` and `words` are for people, on demand.
 */
import type { AgeNorms, Grade, SignId, VitalId } from '@breathline/patient';
import { GRADE_LIST, gradeIndex, readSignIndex } from '../run/patient-port.ts';
import type { Comparison, Condition, Limit } from '@breathline/scenario';
import type { RunCore } from '../run/core.ts';
import { F, I, T } from '../run/layout.ts';
import { ageLimit, VITALS, vitalText } from '../vitals.ts';

/** One compiled condition. `owner` is the thread it belongs to, or 0 (the first) for a condition outside any thread. */
export interface ConditionNode {
  evaluate(core: RunCore): boolean;
  /** 0 (far) to 1 (holds). */
  closeness(core: RunCore): number;
  words(core: RunCore): string;
}

/** Hands out accumulator slots and resolves names; filled in by the plan. */
export interface CompileContext {
  readonly norms: AgeNorms;
  readonly ownerThread: number;
  readonly nextAccumulator: () => number;
  readonly threadIndex: (id: string) => number;
  readonly stateIndex: (thread: number, id: string) => number;
  readonly stateTitle: (thread: number, index: number) => string;
  readonly flagIndex: (label: string) => number;
  readonly interventionName: (id: string) => string;
  /** A condition that cannot work is reported here and then never holds. */
  readonly fault: (message: string) => void;
}

const duration = (ms: number): string =>
  ms % 60_000 === 0 && ms > 0 ? `${ms / 60_000} min` : `${Math.round(ms / 100) / 10} s`;

const OPS: Record<Comparison, string> = {
  'at-least': 'at least',
  above: 'above',
  'at-most': 'at most',
  below: 'below',
};

/** Does a value stand so to a limit, both in the same unit? */
export function compare(op: Comparison, value: number, limit: number): boolean {
  switch (op) {
    case 'at-least':
      return value >= limit;
    case 'above':
      return value > limit;
    case 'at-most':
      return value <= limit;
    case 'below':
      return value < limit;
  }
}

/** The shared part of "holds for so long": the time since when it has held lives in the run's integers, -1 for not. */
abstract class Held implements ConditionNode {
  constructor(
    protected readonly slot: number,
    protected readonly forMs: number,
  ) {}
  protected abstract now(core: RunCore): boolean;
  protected abstract near(core: RunCore): number;
  abstract words(core: RunCore): string;

  evaluate(core: RunCore): boolean {
    const holds = this.now(core);
    if (this.forMs <= 0) return holds;
    const at = core.plan.accumulatorBase + this.slot;
    if (!holds) {
      core.ints[at] = -1;
      return false;
    }
    const since = core.ints[at]!;
    const clock = core.ints[I.clockMs]!;
    if (since < 0) {
      core.ints[at] = clock;
      return false;
    }
    return clock - since >= this.forMs;
  }

  closeness(core: RunCore): number {
    const holds = this.now(core);
    if (this.forMs <= 0) return holds ? 1 : this.near(core) * 0.99;
    if (!holds) return this.near(core) * 0.5;
    const since = core.ints[core.plan.accumulatorBase + this.slot]!;
    const held = since < 0 ? 0 : core.ints[I.clockMs]! - since;
    return Math.min(1, 0.5 + (0.5 * held) / this.forMs);
  }

  protected forWords(core: RunCore): string {
    if (this.forMs <= 0) return '';
    const since = core.ints[core.plan.accumulatorBase + this.slot]!;
    const held = since < 0 || !this.now(core) ? 0 : core.ints[I.clockMs]! - since;
    return ` for ${duration(this.forMs)}${held > 0 && held < this.forMs ? ` (held ${duration(held)})` : ''}`;
  }
}

class VitalNode extends Held {
  constructor(
    slot: number,
    forMs: number,
    private readonly vital: VitalId,
    private readonly op: Comparison,
    private readonly limit: number,
    private readonly relative: boolean,
  ) {
    super(slot, forMs);
  }
  protected now(core: RunCore): boolean {
    return compare(this.op, core.vitals[this.vital], this.limit);
  }
  protected near(core: RunCore): number {
    const off = Math.abs(core.vitals[this.vital] - this.limit) / VITALS[this.vital].span;
    return off >= 1 ? 0 : 1 - off;
  }
  words(core: RunCore): string {
    const name = VITALS[this.vital].label.toLowerCase();
    const limit = vitalText(this.vital, this.limit) + (this.relative ? ' (for age)' : '');
    return `${name} ${OPS[this.op]} ${limit}${this.forWords(core)}, now ${vitalText(this.vital, core.vitals[this.vital])}`;
  }
}

class SignNode extends Held {
  constructor(
    slot: number,
    forMs: number,
    private readonly sign: SignId,
    private readonly op: Comparison,
    private readonly grade: number,
  ) {
    super(slot, forMs);
  }
  protected now(core: RunCore): boolean {
    return compare(this.op, readSignIndex(core.plan.model, core.patient, this.sign), this.grade);
  }
  protected near(core: RunCore): number {
    return Math.max(0, 1 - Math.abs(readSignIndex(core.plan.model, core.patient, this.sign) - this.grade) / 4);
  }
  words(core: RunCore): string {
    const now = GRADE_LIST[readSignIndex(core.plan.model, core.patient, this.sign)] ?? 'none';
    return `${this.sign.replaceAll('-', ' ')} ${OPS[this.op]} ${GRADE_LIST[this.grade]}${this.forWords(core)}, now ${now}`;
  }
}

class AllNode implements ConditionNode {
  constructor(private readonly of: readonly ConditionNode[]) {}
  evaluate(core: RunCore): boolean {
    let holds = true;
    for (let i = 0; i < this.of.length; i++) if (!this.of[i]!.evaluate(core)) holds = false;
    return holds;
  }
  closeness(core: RunCore): number {
    return this.of.reduce((least, node) => Math.min(least, node.closeness(core)), 1);
  }
  words(core: RunCore): string {
    return this.of.map((node) => node.words(core)).join('; and ');
  }
}

class AnyNode implements ConditionNode {
  constructor(private readonly of: readonly ConditionNode[]) {}
  evaluate(core: RunCore): boolean {
    let holds = false;
    for (let i = 0; i < this.of.length; i++) if (this.of[i]!.evaluate(core)) holds = true;
    return holds;
  }
  closeness(core: RunCore): number {
    return this.of.reduce((most, node) => Math.max(most, node.closeness(core)), 0);
  }
  words(core: RunCore): string {
    return this.of.map((node) => node.words(core)).join('; or ');
  }
}

class NotNode implements ConditionNode {
  constructor(private readonly of: ConditionNode) {}
  evaluate(core: RunCore): boolean {
    return !this.of.evaluate(core);
  }
  closeness(core: RunCore): number {
    return this.of.closeness(core) >= 1 ? 0 : 1;
  }
  words(core: RunCore): string {
    return `not (${this.of.words(core)})`;
  }
}

class GivenNode implements ConditionNode {
  constructor(
    private readonly interventions: readonly string[],
    private readonly times: number,
    private readonly minDoseShare: number,
    private readonly withinMs: number,
    private readonly names: string,
  ) {}
  private count(core: RunCore): number {
    let count = 0;
    const clock = core.ints[I.clockMs]!;
    for (let i = 0; i < core.doses.length; i++) {
      const dose = core.doses[i]!;
      if (!this.interventions.includes(dose.intervention)) continue;
      if (this.minDoseShare > 0 && !(dose.share >= this.minDoseShare)) continue;
      if (this.withinMs >= 0 && clock - dose.atMs > this.withinMs) continue;
      count++;
    }
    return count;
  }
  evaluate(core: RunCore): boolean {
    return this.count(core) >= this.times;
  }
  closeness(core: RunCore): number {
    return this.times <= 0 ? 1 : Math.min(1, this.count(core) / this.times);
  }
  words(core: RunCore): string {
    const share =
      this.minDoseShare > 0 ? `, each at least ${Math.round(this.minDoseShare * 100)} % of the pack's dose` : '';
    const within = this.withinMs >= 0 ? ` within ${duration(this.withinMs)}` : '';
    const times = this.times === 1 ? '' : ` ${this.times} times`;
    return `${this.names} given${times}${within}${share}, so far ${this.count(core)}`;
  }
}

class AssessedNode implements ConditionNode {
  constructor(
    private readonly interventions: readonly string[],
    private readonly names: string,
  ) {}
  evaluate(core: RunCore): boolean {
    for (let i = 0; i < core.assessed.length; i++) {
      if (this.interventions.includes(core.assessed[i]!.intervention)) return true;
    }
    return false;
  }
  closeness(core: RunCore): number {
    return this.evaluate(core) ? 1 : 0;
  }
  words(): string {
    return `${this.names} done`;
  }
}

class InStateForNode implements ConditionNode {
  constructor(
    private readonly thread: number,
    private readonly ms: number,
  ) {}
  private spent(core: RunCore): number {
    return core.ints[I.clockMs]! - core.ints[core.plan.threadBase + this.thread * T.size + T.enteredAt]!;
  }
  evaluate(core: RunCore): boolean {
    return this.spent(core) >= this.ms;
  }
  closeness(core: RunCore): number {
    return this.ms <= 0 ? 1 : Math.min(1, this.spent(core) / this.ms);
  }
  words(core: RunCore): string {
    return `${duration(this.ms)} in this state, now ${duration(this.spent(core))}`;
  }
}

class RunClockNode implements ConditionNode {
  constructor(private readonly ms: number) {}
  evaluate(core: RunCore): boolean {
    return core.ints[I.clockMs]! >= this.ms;
  }
  closeness(core: RunCore): number {
    return this.ms <= 0 ? 1 : Math.min(1, core.ints[I.clockMs]! / this.ms);
  }
  words(): string {
    return `${duration(this.ms)} on the run clock`;
  }
}

class StateNode implements ConditionNode {
  constructor(
    private readonly thread: number,
    private readonly state: number,
    private readonly title: string,
  ) {}
  evaluate(core: RunCore): boolean {
    return core.startStates[this.thread] === this.state;
  }
  closeness(core: RunCore): number {
    return this.evaluate(core) ? 1 : 0;
  }
  words(): string {
    return `in “${this.title}”`;
  }
}

/** A flag counts for a thread's transition only if it was raised after the thread entered its present state. */
class FacultyNode implements ConditionNode {
  constructor(
    private readonly flag: number,
    private readonly label: string,
    private readonly ownerThread: number,
  ) {}
  evaluate(core: RunCore): boolean {
    const raised = core.ints[core.plan.flagBase + this.flag * F.size + F.order]!;
    if (raised <= 0) return false;
    if (this.ownerThread < 0) return true;
    return raised > core.ints[core.plan.threadBase + this.ownerThread * T.size + T.enteredOrder]!;
  }
  closeness(core: RunCore): number {
    return this.evaluate(core) ? 1 : 0;
  }
  words(): string {
    return `faculty presses “${this.label}”`;
  }
}

class NeverNode implements ConditionNode {
  constructor(private readonly why: string) {}
  evaluate(): boolean {
    return false;
  }
  closeness(): number {
    return 0;
  }
  words(): string {
    return `never (${this.why})`;
  }
}

function resolveLimit(limit: Limit, vital: VitalId, context: CompileContext): number | null {
  if ('value' in limit) return Number.isFinite(limit.value) ? limit.value : null;
  const value = ageLimit(context.norms, vital, limit.relative);
  return value === null ? null : value * (limit.factor ?? 1);
}

/** Compiles one condition. Never throws: an unusable part is reported and never holds. */
export function compileCondition(condition: Condition, context: CompileContext): ConditionNode {
  const never = (why: string): ConditionNode => {
    context.fault(why);
    return new NeverNode(why);
  };
  const names = (ids: readonly string[]): string => ids.map(context.interventionName).join(' or ');
  switch (condition.kind) {
    case 'all':
      return new AllNode(condition.of.map((part) => compileCondition(part, context)));
    case 'any':
      return new AnyNode(condition.of.map((part) => compileCondition(part, context)));
    case 'not':
      return new NotNode(compileCondition(condition.of, context));
    case 'vital': {
      if (!(condition.vital in VITALS)) return never(`there is no vital called “${condition.vital}”`);
      const limit = resolveLimit(condition.limit, condition.vital, context);
      if (limit === null) return never(`${VITALS[condition.vital].label} has no limit that depends on age`);
      const slot = condition.forMs > 0 ? context.nextAccumulator() : 0;
      return new VitalNode(slot, condition.forMs, condition.vital, condition.op, limit, 'relative' in condition.limit);
    }
    case 'sign': {
      const slot = condition.forMs > 0 ? context.nextAccumulator() : 0;
      return new SignNode(slot, condition.forMs, condition.sign, condition.op, gradeIndex(condition.grade as Grade));
    }
    case 'given':
      return new GivenNode(
        condition.interventions,
        condition.times,
        condition.minDoseShare,
        condition.withinMs ?? -1,
        names(condition.interventions),
      );
    case 'assessed':
      return new AssessedNode(condition.interventions, names(condition.interventions));
    case 'in-state-for':
      return new InStateForNode(Math.max(0, context.ownerThread), condition.ms);
    case 'run-clock':
      return new RunClockNode(condition.ms);
    case 'state': {
      const thread = context.threadIndex(condition.thread);
      const state = thread < 0 ? -1 : context.stateIndex(thread, condition.state);
      if (state < 0) return never(`there is no state “${condition.state}” in thread “${condition.thread}”`);
      return new StateNode(thread, state, context.stateTitle(thread, state));
    }
    case 'faculty':
      return new FacultyNode(context.flagIndex(condition.label), condition.label, context.ownerThread);
    default:
      // Reached only by files from elsewhere: the language has no other kind.
      return never(`there is no condition “${String((condition as { kind: unknown }).kind)}”`);
  }
}
