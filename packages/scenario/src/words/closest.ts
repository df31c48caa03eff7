/**
 * Edit distance for "did you mean": insertion, deletion, substitution and swap of neighbours each cost 1
 * (the optimal string alignment distance). Stops early once `limit` is passed and then returns `limit + 1`.
 */
export function editDistance(a: string, b: string, limit = 8): number {
  if (Math.abs(a.length - b.length) > limit) return limit + 1;
  let older: number[] = [];
  let previous = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i += 1) {
    const row = [i];
    let best = i;
    for (let j = 1; j <= b.length; j += 1) {
      const change = a[i - 1] === b[j - 1] ? 0 : 1;
      let cost = Math.min(previous[j]! + 1, row[j - 1]! + 1, previous[j - 1]! + change);
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) cost = Math.min(cost, older[j - 2]! + 1);
      row.push(cost);
      if (cost < best) best = cost;
    }
    if (best > limit) return limit + 1;
    older = previous;
    previous = row;
  }
  return previous[b.length]!;
}

/** Letters and digits only, lower case: so `Adrenaline IM` and `adrenaline-im` are the same word. */
function squash(text: string): string {
  return text.toLowerCase().replace(/[^a-z0-9]/g, '');
}

/**
 * The candidate an author most likely meant, or null when none is near. Allows about one slip in three letters, and
 * takes a candidate that merely differs in case, spaces or hyphens, or that uniquely contains what was written.
 */
export function closest(found: string, candidates: Iterable<string>): string | null {
  const wanted = squash(found.slice(0, 80));
  if (wanted.length === 0) return null;
  const limit = Math.max(1, Math.floor(wanted.length / 3));
  let best: string | null = null;
  let bestCost = limit + 1;
  const containing: string[] = [];
  for (const candidate of candidates) {
    const plain = squash(candidate);
    if (plain === wanted) return candidate;
    const cost = editDistance(wanted, plain, limit);
    if (cost < bestCost) {
      best = candidate;
      bestCost = cost;
    }
    if (wanted.length >= 4 && plain.length > 0 && (plain.includes(wanted) || wanted.includes(plain))) {
      containing.push(candidate);
    }
  }
  if (best !== null) return best;
  return containing.length > 0 && containing.length <= 3 ? containing[0]! : null;
}

/** Up to `most` names in backquotes, for "expected one of …". */
export function nameSome(names: readonly string[], most = 12): string {
  const shown = names.slice(0, most).map((name) => `\`${name}\``);
  const rest = names.length - shown.length;
  return shown.join(', ') + (rest > 0 ? ` and ${rest} more` : '');
}
