/** Checks of the words themselves: how doses are written, and how skin is described. */
import type { Bag } from '../1-read/bag.ts';
import { pathText, type Path, type Tree } from '../1-read/tree.ts';

/** Calls `visit` for every text in the tree, with its path. */
export function eachText(tree: Tree, path: Path, visit: (node: Tree, text: string, path: Path) => void): void {
  if (tree.kind === 'map')
    for (const entry of tree.entries.values()) eachText(entry.value, [...path, entry.key], visit);
  else if (tree.kind === 'list') tree.items.forEach((item, i) => eachText(item, [...path, i], visit));
  else if (typeof tree.value === 'string') visit(tree, tree.value, path);
}

const DRUG_UNIT = '(?:micrograms?|mg|g|mL|units?)';

interface ProseRule {
  readonly code: 'dose-abbreviation' | 'trailing-zero' | 'naked-decimal' | 'ratio-strength';
  readonly find: RegExp;
  readonly mend: (match: RegExpExecArray) => string;
}

/**
 * Safe writing of doses: no abbreviation of micrograms or units, leading zero, no trailing zero, no ratio strength.
 * Wheeler DW et al. Ann Intern Med 2008;148:11-14 (ratio strengths); the rest is common practice in safe prescribing.
 */
const RULES: readonly ProseRule[] = [
  { code: 'dose-abbreviation', find: /(?<=\d[\s\u00a0]?)(?:mcg|[µμu]g|mics?)(?![a-z])/gi, mend: () => '`micrograms`' },
  { code: 'dose-abbreviation', find: /(?<=\d[\s\u00a0]?)(?:IU|U)(?![A-Za-z/])/g, mend: () => '`units`' },
  { code: 'dose-abbreviation', find: /(?<=\d[\s\u00a0]?)cc(?![a-z])/gi, mend: () => '`mL`' },
  {
    code: 'trailing-zero',
    find: new RegExp(`(?<![\\d.,])\\d+\\.\\d*0(?=[\\s\\u00a0]?${DRUG_UNIT}(?![a-z]))`, 'g'),
    mend: (match) => `\`${match[0].replace(/\.?0+$/, '')}\``,
  },
  {
    code: 'naked-decimal',
    find: new RegExp(`(?<![\\d.])\\.\\d+(?=[\\s\\u00a0]?${DRUG_UNIT}(?![a-z]))`, 'g'),
    mend: (match) => `\`0${match[0]}\``,
  },
  {
    code: 'ratio-strength',
    find: /(?<![\d:.])1[ \u00a0]?(?::|in)[ \u00a0]?(10?[, \u00a0]?000|1000|10000)(?!\d)/gi,
    mend: (match) => (match[1]!.replace(/\D/g, '') === '1000' ? '`1 mg/mL`' : '`0.1 mg/mL`'),
  },
];

/** Warns about unsafe ways to write a dose anywhere in the file's texts. Points at the very characters. */
export function checkDoseWriting(root: Tree, bag: Bag): void {
  const { text } = bag.source;
  eachText(root, [], (node, _, path) => {
    const last = path[path.length - 1];
    if (last === 'url' || last === 'doi' || bag.hasErrorAt(node.start)) return;
    const raw = text.slice(node.start, node.end);
    for (const rule of RULES) {
      rule.find.lastIndex = 0;
      for (let match = rule.find.exec(raw); match; match = rule.find.exec(raw)) {
        const start = node.start + match.index;
        bag.add(
          rule.code,
          { start, end: start + match[0].length },
          { found: match[0], expected: rule.mend(match) },
          { path: pathText(path), hint: `write ${rule.mend(match)}` },
        );
      }
    }
  });
}

const COLOUR = /\b(pale|pallor|paler|white as a sheet|blue|bluish|cyanosed|cyanotic|flushed|red|pink|grey|ashen)\b/i;
const SHOWS_ON_ALL =
  /\b(lips?|gums?|tongue|mouth|nail|nails|nail[- ]beds?|palms?|soles?|conjunctiva\w*|eyelids?|clammy|cool|cold|warm|hot|sweat\w*|mottled|itch\w*|raised|wh?eals?|swollen|swelling)\b/i;

/** A colour alone is not seen on every skin: asks for a place or a feel that is. */
export function checkSkinWords(node: Tree, text: string, path: Path, bag: Bag): void {
  const colour = COLOUR.exec(text);
  if (!colour || SHOWS_ON_ALL.test(text)) return;
  const raw = bag.source.text.slice(node.start, node.end);
  const offset = Math.max(0, raw.search(COLOUR));
  bag.add(
    'pale-alone',
    { start: node.start + offset, end: node.start + offset + colour[0].length },
    { found: colour[0] },
    {
      path: pathText(path),
      hint: 'say where it shows on this skin: lips, gums, nail beds, palms; or how it feels: cool, clammy',
    },
  );
}
