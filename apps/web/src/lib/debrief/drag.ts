/** What a lane needs to let its marks be dragged along the time axis. */
export interface MarkDrag {
  readonly picked: number | null;
  /** Event numbers that may be moved. */
  readonly can: ReadonlySet<number>;
  /** Where moved ones now stand; `toMs` null: left out. */
  readonly moved: readonly { readonly seq: number; readonly fromMs: number; readonly toMs: number | null }[];
  readonly byMs: (seq: number) => number;
  readonly onpick: (seq: number) => void;
  readonly onmove: (seq: number, byMs: number) => void;
}
