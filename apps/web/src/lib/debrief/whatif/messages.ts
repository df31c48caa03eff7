/** What the screen and its worker say to each other. */
import type { Difference, OddAct, RunExport, WhatIfEdit } from '@breathline/engine';
import type { OtherLines } from './lines.ts';

export type ToWorker =
  | { readonly t: 'load'; readonly run: RunExport }
  | { readonly t: 'ask'; readonly id: number; readonly edits: readonly WhatIfEdit[] };

export interface Answer {
  readonly identical: boolean;
  readonly differences: readonly Difference[];
  readonly oddActs: readonly OddAct[];
  readonly engineVersion: string;
  readonly recordedWith: string;
  /** The run as it went, on the same engine. */
  readonly base: OtherLines;
  readonly alternative: OtherLines;
  /** Working it out took this long, ms. */
  readonly tookMs: number;
}

export type FromWorker =
  | { readonly t: 'answer'; readonly id: number; readonly answer: Answer }
  | {
      readonly t: 'wider';
      readonly id: number;
      readonly differences: readonly Difference[];
      readonly done: number;
      readonly of: number;
    }
  | { readonly t: 'refused'; readonly id: number; readonly message: string };
