/** What YAML is turned into: maps, lists and scalars with their place in the text. Aliases share their subtree. */
import type { Range } from './bag.ts';

interface Base extends Range {
  /** Number of values below and including this one, aliases followed. */
  readonly size: number;
}

export interface ScalarTree extends Base {
  readonly kind: 'scalar';
  readonly value: string | number | boolean | null;
}
export interface ListTree extends Base {
  readonly kind: 'list';
  readonly items: readonly Tree[];
}
export interface MapEntry {
  readonly key: string;
  readonly keyRange: Range;
  readonly value: Tree;
}
export interface MapTree extends Base {
  readonly kind: 'map';
  readonly entries: ReadonlyMap<string, MapEntry>;
}
export type Tree = ScalarTree | ListTree | MapTree;

export type Path = readonly (string | number)[];

/** The node at a path, or the nearest one above it that exists. */
export function nodeAt(root: Tree, path: Path): Tree {
  let node = root;
  for (const step of path) {
    const next: Tree | undefined =
      node.kind === 'map'
        ? node.entries.get(String(step))?.value
        : node.kind === 'list'
          ? node.items[Number(step)]
          : undefined;
    if (!next) return node;
    node = next;
  }
  return node;
}

/** Where the key of the last step of a path stands (for a map), else the node itself. */
export function keyRangeAt(root: Tree, path: Path): Range {
  const parent = nodeAt(root, path.slice(0, -1));
  const last = path[path.length - 1];
  if (parent.kind === 'map' && last !== undefined) return parent.entries.get(String(last))?.keyRange ?? parent;
  return nodeAt(root, path);
}

/** `states.arrival.transitions[0].to` */
export function pathText(path: Path): string {
  return path.map((step, i) => (typeof step === 'number' ? `[${step}]` : i === 0 ? step : `.${step}`)).join('');
}

/** Plain JSON of a tree. Only called after reserved names were refused. */
export function toValue(tree: Tree): unknown {
  if (tree.kind === 'scalar') return tree.value;
  if (tree.kind === 'list') return tree.items.map(toValue);
  return Object.fromEntries([...tree.entries].map(([key, entry]) => [key, toValue(entry.value)]));
}

/** In words, for "is …; expected …". */
export function describeTree(tree: Tree): string {
  if (tree.kind === 'map') return 'a map';
  if (tree.kind === 'list') return 'a list';
  if (tree.value === null) return 'empty';
  if (typeof tree.value === 'string')
    return `the text \`${tree.value.length > 60 ? `${tree.value.slice(0, 60)}…` : tree.value}\``;
  if (typeof tree.value === 'number') return `the number ${tree.value}`;
  return `\`${String(tree.value)}\``;
}
