/** YAML 1.2 text to a tree with positions. Limits come first, so that a hostile file costs little. Never throws. */
import { isAlias, isMap, isScalar, isSeq, Lexer, parseDocument, type Node, type YAMLError } from 'yaml';
import { quote, type Bag, type Range } from './bag.ts';
import type { MapEntry, Tree } from './tree.ts';

export const LIMITS = {
  /** UTF-16 units of text. */
  characters: 512 * 1024,
  depth: 40,
  /** Values, with every alias followed. */
  nodes: 30_000,
  aliases: 100,
} as const;

const RESERVED = new Set(['__proto__', 'constructor', 'prototype']);

/** The whole file, for problems that have no better place. */
const START: Range = { start: 0, end: 1 };

/** Reads `bag.source.text`. Null when nothing usable came out; the reasons are in the bag. */
export function readYaml(bag: Bag): Tree | null {
  const { text } = bag.source;
  if (text.length > LIMITS.characters) {
    bag.add('file-too-large', START, { found: text.length, limit: LIMITS.characters });
    return null;
  }
  if (!checkCharacters(bag, text)) return null;
  try {
    if (!checkShape(bag, text)) return null;
    return compose(bag, text);
  } catch (problem) {
    // The YAML library recurses; a stack overflow or a fault of its own must still end as a diagnostic.
    if (problem instanceof RangeError) bag.add('too-deep', START, { limit: LIMITS.depth });
    else bag.add('yaml-syntax', START, { found: problem instanceof Error ? quote(problem.message) : 'unreadable' });
    return null;
  }
}

function checkCharacters(bag: Bag, text: string): boolean {
  if (text.charCodeAt(0) === 0xfeff) bag.add('byte-order-mark', START);
  // eslint-disable-next-line no-control-regex
  const control = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f]/.exec(text);
  if (control) {
    const code = control[0].charCodeAt(0).toString(16).padStart(4, '0');
    bag.add('not-utf8', { start: control.index, end: control.index + 1 }, { found: `the control character U+${code}` });
    return false;
  }
  const lost = /\ufffd|[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/.exec(text);
  if (lost) {
    bag.add('not-utf8', { start: lost.index, end: lost.index + 1 }, { found: 'bytes that are no character' });
    return false;
  }
  return true;
}

/** Counts nesting and values from tokens alone, before the recursive composer sees the text. */
function checkShape(bag: Bag, text: string): boolean {
  let offset = 0;
  let flow = 0;
  let inLine = 0;
  let values = 0;
  for (const token of new Lexer().lex(text)) {
    const first = token[0]!;
    // Control tokens of the lexer (document, flow end, scalar follows) take no room in the text.
    if (first === '\u0002' || first === '\u0018' || first === '\u001f' || token === '\ufeff') {
      if (first === '\u001f') values += 1;
      if (token === '\ufeff') offset += 1;
      continue;
    }
    if (token === '{' || token === '[') {
      flow += 1;
      values += 1;
    } else if (token === '}' || token === ']') flow = Math.max(0, flow - 1);
    else if (token === '-' || token === '?' || token === ':') inLine += 1;
    else if (token === ',') values += 1;
    if (token.includes('\n')) inLine = 0;
    if (flow > LIMITS.depth || inLine > LIMITS.depth * 2) {
      bag.add('too-deep', { start: offset, end: offset + 1 }, { limit: LIMITS.depth });
      return false;
    }
    if (values > LIMITS.nodes) {
      bag.add('too-many-nodes', { start: offset, end: offset + 1 }, { limit: LIMITS.nodes });
      return false;
    }
    offset += token.length;
  }
  return blockDepthIsFine(bag, text);
}

/** Deep block nesting by growing indentation, one level a line. */
function blockDepthIsFine(bag: Bag, text: string): boolean {
  const stack: number[] = [];
  for (let start = 0; start < text.length;) {
    const newline = text.indexOf('\n', start);
    const end = newline < 0 ? text.length : newline;
    let column = start;
    while (column < end && text[column] === ' ') column += 1;
    if (column < end) {
      const indent = column - start;
      while (stack.length > 0 && stack[stack.length - 1]! >= indent) stack.pop();
      stack.push(indent);
      // Twice the limit: text blocks may indent freely, and the tree is measured again afterwards.
      if (stack.length > LIMITS.depth * 2) {
        bag.add('too-deep', { start: column, end: column + 1 }, { limit: LIMITS.depth });
        return false;
      }
    }
    start = end + 1;
  }
  return true;
}

function compose(bag: Bag, text: string): Tree | null {
  const document = parseDocument(text, {
    version: '1.2',
    schema: 'core',
    merge: false,
    // Our own check is linear and names both places.
    uniqueKeys: false,
    prettyErrors: false,
    resolveKnownTags: false,
    // `silent` would also hide that there is a second document.
    logLevel: 'error',
  });
  for (const problem of document.errors) report(bag, problem, 'yaml-syntax');
  for (const problem of document.warnings) {
    // Every tag is refused below, known or not.
    if (problem.code !== 'TAG_RESOLVE_FAILED') report(bag, problem, 'yaml-doubtful');
  }
  const { yaml } = document.directives ?? {};
  if (yaml?.explicit === true && yaml.version !== '1.2') {
    bag.add('yaml-version', START, { found: `%YAML ${yaml.version}` }, { hint: 'remove the `%YAML` line' });
  }
  if (document.errors.length > 0) return null;
  if (!document.contents) {
    bag.add('empty-file', START, {}, { hint: 'start with `breathline: 1`' });
    return null;
  }
  return new Grower(bag).grow(document.contents as Node, 0);
}

function report(bag: Bag, problem: YAMLError, fallback: 'yaml-syntax' | 'yaml-doubtful'): void {
  const [start, end] = problem.pos;
  const range = { start, end: Math.max(end, start + 1) };
  if (problem.code === 'TAB_AS_INDENT') bag.add('tab-indent', range, {}, { hint: 'replace the tab with spaces' });
  else if (problem.code === 'MULTIPLE_DOCS')
    bag.add('many-documents', range, {}, { hint: 'put the second document in its own file' });
  else if (problem.code === 'TAG_RESOLVE_FAILED')
    bag.add('tag-not-allowed', range, { found: quote(bag.source.text.slice(start, end)) }, { hint: 'remove the tag' });
  else if (/alias/i.test(problem.message) && /unresolved/i.test(problem.message)) {
    bag.add('alias-unknown', range, { found: quote(bag.source.text.slice(start, end).replace(/^\*/, '')) });
  } else bag.add(fallback, range, { found: quote(problem.message.split('\n')[0]!.replace(/[.:]$/, '')) });
}

/** `tag:yaml.org,2002:binary` as it was most likely written. */
function shortTag(tag: string): string {
  return tag.replace(/^tag:yaml\.org,2002:/, '!!');
}

/** Builds the tree in document order, so that every anchor is known before its aliases. */
class Grower {
  private readonly anchors = new Map<string, Tree>();
  private readonly growing = new Set<string>();
  private aliases = 0;
  private stopped = false;

  constructor(private readonly bag: Bag) {}

  grow(node: Node, depth: number): Tree | null {
    if (this.stopped) return null;
    const [start, end] = node.range ?? [0, 1];
    const range = { start, end: Math.max(end, start) };
    if (depth > LIMITS.depth) return this.stop('too-deep', range, { limit: LIMITS.depth });
    if (isAlias(node)) return this.followAlias(node.source, range);
    const { anchor, tag } = node as { anchor?: string; tag?: string };
    if (tag !== undefined) {
      this.bag.add('tag-not-allowed', range, { found: quote(shortTag(tag)) }, { hint: 'remove the tag' });
    }
    if (anchor !== undefined) this.growing.add(anchor);
    const tree = this.growPlain(node, range, depth);
    if (anchor !== undefined) {
      this.growing.delete(anchor);
      if (tree) this.anchors.set(anchor, tree);
    }
    if (tree && tree.size > LIMITS.nodes) return this.stop('too-many-nodes', range, { limit: LIMITS.nodes });
    return tree;
  }

  private followAlias(name: string, range: Range): Tree | null {
    this.aliases += 1;
    if (this.aliases > LIMITS.aliases) return this.stop('too-many-aliases', range, { limit: LIMITS.aliases });
    if (this.growing.has(name)) return this.stop('alias-loop', range, { found: quote(name) });
    const target = this.anchors.get(name);
    if (!target) {
      this.bag.add('alias-unknown', range, { found: quote(name) });
      return null;
    }
    return { ...target, ...range };
  }

  private growPlain(node: Node, range: Range, depth: number): Tree | null {
    if (isScalar(node)) {
      const { value } = node;
      if (typeof value === 'number' && !Number.isFinite(value)) {
        this.bag.add('not-finite', range, { found: quote(this.bag.source.text.slice(range.start, range.end)) });
      }
      const known = value === null || ['string', 'number', 'boolean'].includes(typeof value);
      return {
        kind: 'scalar',
        value: known ? (value as string | number | boolean | null) : String(value),
        size: 1,
        ...range,
      };
    }
    if (isSeq(node)) {
      const items: Tree[] = [];
      let size = 1;
      for (const item of node.items) {
        const grown = this.grow(item as Node, depth + 1);
        if (this.stopped) return null;
        if (grown) items.push(grown);
        size += grown?.size ?? 1;
      }
      return { kind: 'list', items, size, ...range };
    }
    if (isMap(node)) return this.growMap(node, range, depth);
    return null;
  }

  private growMap(node: { items: readonly unknown[] }, range: Range, depth: number): Tree | null {
    const entries = new Map<string, MapEntry>();
    let size = 1;
    for (const pair of node.items as { key: unknown; value: Node | null }[]) {
      const keyNode = pair.key as Node | null;
      const [start, end] = keyNode?.range ?? [range.start, range.start + 1];
      const keyRange = { start, end };
      const key = this.keyOf(keyNode, keyRange);
      if (key === null) continue;
      const first = entries.get(key);
      if (first) {
        const { line } = this.bag.source.position(first.keyRange.start);
        this.bag.add('duplicate-key', keyRange, { found: quote(key), line }, { hint: 'rename or remove one of them' });
        continue;
      }
      const value = pair.value
        ? this.grow(pair.value, depth + 1)
        : ({ kind: 'scalar', value: null, size: 1, ...keyRange } as const);
      if (this.stopped) return null;
      if (!value) continue;
      entries.set(key, { key, keyRange, value });
      size += value.size;
    }
    return { kind: 'map', entries, size, ...range };
  }

  private keyOf(node: Node | null, range: Range): string | null {
    if (!node || !isScalar(node) || node.value === null || typeof node.value === 'object') {
      this.bag.add('key-not-text', range, { found: node && !isScalar(node) ? 'a list, map or alias' : 'empty' });
      return null;
    }
    if (node.tag !== undefined)
      this.bag.add('tag-not-allowed', range, { found: quote(shortTag(node.tag)) }, { hint: 'remove the tag' });
    const key = String(node.value);
    if (RESERVED.has(key)) {
      this.bag.add('reserved-key', range, { found: key }, { hint: 'choose another name' });
      return null;
    }
    return key;
  }

  private stop(
    code: 'too-deep' | 'too-many-nodes' | 'too-many-aliases' | 'alias-loop',
    range: Range,
    facts: Record<string, string | number>,
  ): null {
    this.stopped = true;
    this.bag.add(code, range, facts);
    return null;
  }
}
