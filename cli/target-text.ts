import { Document, isCollection, isMap, isScalar, type Node, visit } from 'yaml';
import type { LayeredTarget } from '../jobs/targets/load-target.js';
import { originOf, removalsOf } from '../jobs/targets/target-origins.js';
import { visible } from '../jobs/words/plain-text.js';

/** Longest former value that is quoted beside a new one. */
const LONGEST_QUOTE = 60;

/**
 * A target whole, as YAML that can be used as a target again: beside each value a comment says which target
 * of the chain it comes from and what it replaced there, or who took it away.
 */
export function formatTarget(layered: LayeredTarget): string {
  const document = new Document(layered.target);
  const alone = layered.layers.length === 1;
  comment(document.contents, []);
  for (const { path, by } of removalsOf(layered)) {
    const nothing = document.createNode(null);
    nothing.comment = visible(` taken away by ${by}`);
    document.setIn(path, nothing);
  }
  return document.toString({ lineWidth: 0, flowCollectionPadding: true }).trimEnd();

  function comment(node: unknown, path: readonly string[]): void {
    if (isMap(node) && !isRegion(path)) {
      for (const { key, value } of node.items) {
        if (isScalar(key)) comment(value, [...path, String(key.value)]);
      }
    } else if (isScalar(node) || isCollection(node)) note(node, path);
  }

  function note(node: Node, path: readonly string[]): void {
    if (isCollection(node)) node.flow = true;
    if (isRegion(path)) quoteTimecodes(node);
    const { from, instead } = originOf(layered, path);
    const [side] = path;
    if (side !== 'make' && side !== 'require') return;
    // Of a target that stands alone only what it does not say itself is news.
    if (alone && from !== null) return;
    const replaced = instead === null ? '' : ` instead of ${quote(instead.value)} in ${instead.from}`;
    node.comment = visible(` ${from ?? 'default'}${replaced}`);
  }
}

/** Regions are a list of maps, shown as one value. */
function isRegion(path: readonly string[]): boolean {
  return path.at(-1) === 'regions';
}

/** YAML 1.1, which other programs may still read by, takes 10:00:00:00 without quotes for a number. */
function quoteTimecodes(regions: Node): void {
  visit(regions, {
    Scalar: (key, node) => {
      if (key === 'value' && typeof node.value === 'string') node.type = 'QUOTE_DOUBLE';
    },
  });
}

function quote(value: unknown): string {
  const text = JSON.stringify(value) ?? String(value);
  return text.length > LONGEST_QUOTE ? `${text.slice(0, LONGEST_QUOTE - 3)}...` : text;
}
