/**
 * What an observer or an embedded participant sees on a phone. Never a vital, never a state: an observer who knows the
 * numbers scores them instead of the team, and a relative who knows them acts them. Every field is named one by one.
 */
import type { RunView } from '@breathline/engine';
import type { ClockAnchor, CrewFrame } from '@breathline/protocol';
import type { Scenario } from '@breathline/scenario';
import { isBlank, isRestarted, notAllRight } from './state.ts';

/** A comment that stands in the log. */
export interface OwnComment {
  readonly seq: number;
  readonly text: string;
  readonly about: string | null;
  readonly atMs: number;
}

export interface CrewSource {
  readonly roleSeq: number;
  readonly role: 'observer' | 'participant';
  readonly seat: string;
  readonly view: RunView;
  readonly scenario: Pick<Scenario, 'learnerTitle' | 'behaviours' | 'family'>;
  /** This seat's own, oldest first. */
  readonly comments: readonly OwnComment[];
  readonly anchor: ClockAnchor;
}

type Parts = Pick<CrewFrame, 'behaviours' | 'comments' | 'prompts' | 'lines' | 'family' | 'happenings'>;

const NOTHING: Parts = { behaviours: [], comments: [], prompts: [], lines: [], family: null, happenings: [] };

const ownComments = ({ comments }: CrewSource): CrewFrame['comments'] =>
  comments.map(({ seq, text, about, atMs }) => ({ seq, text, about, atMs }));

const forObserver = (source: CrewSource): Parts => {
  const { view, scenario, seat } = source;
  const ticked = new Map(view.live?.behaviours.map(({ behaviour, ticks }) => [behaviour, ticks]));
  return {
    ...NOTHING,
    behaviours: (scenario.behaviours ?? []).map(({ id, says }) => {
      const { seen = null, rating } = ticked.get(id)?.find((tick) => tick.seat === seat) ?? {};
      return { id, says, seen, ...(rating === undefined ? {} : { rating }) };
    }),
    comments: ownComments(source),
  };
};

const familyOf = ({ view, scenario }: CrewSource): CrewFrame['family'] => {
  if (scenario.family.length === 0) return null;
  const family = view.live?.family;
  return {
    distress: family?.distress ?? scenario.family[0]?.distress ?? 0,
    with: family?.with ?? null,
    members: scenario.family.map(({ who, says, history = [], worries = [] }) => ({
      who,
      says,
      history: history.map(({ id, ifAsked, says: told }) => ({
        id,
        ifAsked,
        says: told,
        toldAtMs: family?.told.find(({ item }) => item === id)?.atMs ?? null,
      })),
      worries: worries.map(({ id, says: voiced, why }) => ({
        id,
        says: voiced,
        why,
        step: family?.worries.find(({ item }) => item === id)?.step ?? null,
      })),
    })),
  };
};

const forParticipant = (source: CrewSource): Parts => {
  const { view } = source;
  return {
    ...NOTHING,
    comments: ownComments(source),
    prompts: view.cuesDue.map(({ cue, dueAtMs, spokenAtMs }) => ({
      cue: cue.id,
      by: cue.by,
      says: cue.says,
      dueAtMs,
      spokenAtMs,
    })),
    // What can be seen and heard without touching: it is acted, or spoken when asked.
    lines: view.findings.filter(({ observable }) => observable).map(({ letter, text }) => ({ letter, text })),
    family: familyOf(source),
    happenings: (view.live?.happenings ?? []).map(({ seq, what, text, atMs }) => ({ seq, what, text, atMs })),
  };
};

export const crewFrame = (source: CrewSource): CrewFrame => {
  const { roleSeq, role, seat, view, scenario, anchor } = source;
  const blank = isBlank(view);
  const parts = blank ? NOTHING : role === 'observer' ? forObserver(source) : forParticipant(source);
  return {
    t: 'crew',
    roleSeq,
    role,
    seat,
    phase: view.phase,
    restarted: isRestarted(view),
    ...notAllRight(view),
    blank,
    clockMs: blank ? 0 : view.clockMs,
    take: view.take,
    title: blank ? '' : scenario.learnerTitle,
    ...parts,
    ...(blank ? {} : { anchor: { serverMs: anchor.serverMs, runMs: anchor.runMs, rate: anchor.rate } }),
  };
};
