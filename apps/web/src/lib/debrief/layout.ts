/** Where everything on the timeline goes, for a width. Pixels from the top left of the drawing. */
import { scaleLinear } from 'd3-scale';
import type { TimelineMark, TimelineModel, TimelineMoment, TimelinePanel, TimelineTarget } from '@breathline/debrief';
import { clip, placeLabels, type Placed, type Scale } from './draw.ts';

export interface Window {
  readonly fromMs: number;
  readonly toMs: number;
}

export interface LaneLayout {
  readonly id: string;
  readonly title: string;
  readonly top: number;
  readonly height: number;
  readonly marks: readonly Placed<TimelineMark>[];
}

export interface PanelLayout {
  readonly panel: TimelinePanel;
  readonly top: number;
  readonly height: number;
  readonly y: Scale;
}

export interface TargetLayout {
  readonly target: TimelineTarget;
  readonly top: number;
}

export interface ChartLayout {
  readonly wide: boolean;
  readonly width: number;
  readonly height: number;
  readonly left: number;
  readonly right: number;
  readonly x: Scale;
  readonly timeAt: (px: number) => number;
  readonly axisTop: number;
  readonly momentsTop: number;
  readonly moments: readonly Placed<TimelineMoment>[];
  readonly states: readonly { readonly id: string; readonly title: string; readonly top: number }[];
  readonly treatments: LaneLayout;
  readonly panelsTop: number;
  readonly panels: readonly PanelLayout[];
  readonly panelsBottom: number;
  readonly targetsTop: number;
  readonly targets: readonly TargetLayout[];
  readonly lanes: readonly LaneLayout[];
}

/**
 * A wall is read from further off than a desk. Its drawing is laid out this wide and then enlarged to the wall, so that
 * its words grow with it. On a wall of 1920 px a dose is written 24 px high, and about 21 px once a run with three
 * critical targets is shrunk to fit (0.86, measured); a capital is 0.7 of that (from memory), 14.5 px. On a screen 1.2 m
 * wide (55 inches) that is 9.1 mm, from 5 m away 6.2 minutes of arc. An eye of 6/6 reads a letter of 5 minutes (the
 * definition of the chart letter, after Snellen), one of 6/9 a letter of 7.5: it sits at 4.1 m. The desk's own 16 px
 * would be 4.8 minutes.
 */
export const WALL_WIDTH = 1280;

/** How much a drawing this wide on a wall is enlarged. */
export const wallScale = (width: number): number => Math.max(1, width / WALL_WIDTH);

export const STATE_HEIGHT = 30;
export const ROW = 26;
export const TARGET_ROW = 40;
export const DOSE_SIZE = 16;
export const LABEL_SIZE = 14;

/** Left and right edges of the plot: names stand left of it, readings and results right. */
export function plotEdges(width: number, glance = false): { readonly left: number; readonly right: number } {
  const [before, after] = width >= 1500 && !glance ? [330, 190] : width >= 860 ? [214, 182] : [4, 4];
  return { left: before, right: Math.max(before + 60, width - after) };
}

/**
 * Lays the whole picture out. `width` is the drawing's width in CSS pixels; text sizes never scale. At a glance: what a
 * room needs from afar, without the lanes of looks, cues and notes.
 */
export function layOut(model: TimelineModel, window: Window, width: number, glance = false): ChartLayout {
  const wide = width >= 860;
  const big = width >= 1500 && !glance;
  const { left, right } = plotEdges(width, glance);
  const scale = scaleLinear([window.fromMs, window.toMs], [left, right]);
  const x: Scale = (value) => scale(value);
  const inside = (atMs: number) => atMs >= window.fromMs && atMs <= window.toMs;
  let top = 0;

  const momentsTop = top;
  const shownMoments = model.moments.filter((one) => one.id !== 'arrival' && one.id !== 'end' && inside(one.atMs));
  const moments = placeLabels(
    shownMoments.map((one) => ({
      item: one,
      x: x(one.atMs),
      text: one.label,
      first: one.id === 'could-have-seen' || one.id === 'key-step',
    })),
    2,
    { left, right },
    LABEL_SIZE,
  );
  top += 56;
  const axisTop = top;
  top += 24;

  const states = model.threads.map((thread) => {
    if (!wide) top += 18;
    const at = { id: thread.id, title: model.threads.length === 1 ? 'State' : thread.title, top };
    top += STATE_HEIGHT + 4;
    return at;
  });

  const lane = (id: string, title: string, marks: readonly TimelineMark[], rows: number, size: number): LaneLayout => {
    const placed = placeLabels(
      marks
        .filter((one) => inside(one.atMs))
        .map((one) => ({
          item: one,
          x: x(one.atMs),
          text: laneText(one, wide),
          first: one.warn || one.kind === 'drug',
        })),
      rows,
      { left, right },
      size,
    );
    if (!wide) top += 18;
    const used = Math.max(1, ...placed.map((one) => one.row + 1));
    const height = used * ROW + 4;
    const out = { id, title, top, height, marks: placed };
    top += height;
    return out;
  };

  top += 4;
  const treated = [...model.doses, ...model.acts.filter((one) => one.kind === 'oxygen')].sort(
    (a, b) => a.atMs - b.atMs,
  );
  const treatments = lane('treatments', 'Treatment', treated, big || glance ? 3 : 6, DOSE_SIZE);

  top += 8;
  const panelsTop = top;
  const panelHeight = glance ? 72 : big ? 116 : wide ? 96 : 78;
  const panels = model.panels.map((panel): PanelLayout => {
    if (!wide) top += 20;
    const y = scaleLinear(panel.domain as [number, number], [top + panelHeight, top]);
    const out = { panel, top, height: panelHeight, y: (value: number) => y(value) };
    top += panelHeight + 14;
    return out;
  });
  const panelsBottom = top - 14;

  top += 30;
  const targetsTop = top;
  if (model.targets.length > 0) top += 24;
  const targets = model.targets.map((target): TargetLayout => {
    if (!wide) top += 18;
    const out = { target, top };
    top += TARGET_ROW;
    return out;
  });

  top += 10;
  const rest = model.acts.filter((one) => one.kind !== 'oxygen');
  const lanes = glance
    ? []
    : [
        lane('assessments', 'Looked at', model.assessments, 3, LABEL_SIZE),
        ...(model.results.length > 0 ? [lane('results', 'Results back', model.results, 3, LABEL_SIZE)] : []),
        lane('acts', 'Calls and other acts', rest, 3, LABEL_SIZE),
        lane('cues', 'Cues spoken', model.cues, 3, LABEL_SIZE),
        lane('notes', 'Notes and marks', model.notes, 5, LABEL_SIZE),
      ];

  return {
    wide,
    width,
    height: top + 8,
    left,
    right,
    x,
    timeAt: (px) => scale.invert(px),
    axisTop,
    momentsTop,
    moments,
    states,
    treatments,
    panelsTop,
    panels,
    panelsBottom,
    targetsTop,
    targets,
    lanes,
  };
}

function laneText(mark: TimelineMark, wide: boolean): string {
  return clip(mark.label, wide ? 320 : mark.kind === 'drug' ? 280 : 190, mark.kind === 'drug' ? DOSE_SIZE : LABEL_SIZE);
}

/** Every moment worth stopping at, in order, for stepping through with the keys. */
export function stops(model: TimelineModel): readonly { readonly atMs: number; readonly text: string }[] {
  const marks = [model.doses, model.acts, model.assessments, model.results, model.cues, model.notes].flat();
  const states = model.threads.flatMap((thread) =>
    thread.states.map((state) => ({ atMs: state.fromMs, text: `State: ${state.title}` })),
  );
  const moments = model.moments.map((one) => ({ atMs: one.atMs, text: one.label }));
  // A mark's words begin with its time, which a list and a voice give already.
  const bare = marks.map(({ atMs, text, by }) => ({
    atMs,
    text: `${text.replace(/^\d+:\d\d /, '')}${by ? `, by ${by}` : ''}`,
  }));
  return [...bare, ...states, ...moments].sort((a, b) => a.atMs - b.atMs);
}
