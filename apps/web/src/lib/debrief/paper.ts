/** Paper is white: whatever theme the screen has, prints are made in the light one and the screen gets its own back. */
import { currentTheme, setTheme, type Theme } from '$lib/ui';

let before: Theme | null = null;

export function turnToPaper(): void {
  before ??= currentTheme();
  setTheme('light', { keep: false });
}

export function turnBack(): void {
  if (before !== null) setTheme(before, { keep: false });
  before = null;
}
