// Spans along a turning ray, farthest first. In: spans placed one by one beside a neighbour; out: neighbours, and a tree
// to search. Terms: node = a place in the order, which holds one span; far, near = its neighbours towards the circle and
// towards the centre.
// Cost: a search, an insertion and a removal take log n steps (a treap: a search tree by order, a heap by a number computed
// from the node's own); neighbours and exchanges take one.

import { doubledIntegers } from '../column.js';

/** No node; as a neighbour: the circle (far) or the centre (near). */
export const NONE = -1;

export class RayOrder {
  root: number = NONE;
  /** The node next to the circle. */
  first: number = NONE;
  /** The node next to the centre. */
  last: number = NONE;
  span: Int32Array = new Int32Array(256);
  far: Int32Array = new Int32Array(256);
  near: Int32Array = new Int32Array(256);
  /** Subtrees: everything farther, everything nearer. */
  left: Int32Array = new Int32Array(256);
  right: Int32Array = new Int32Array(256);
  #up = new Int32Array(256);
  #draw = new Int32Array(256); // the smallest of a subtree is on top of it
  #nodes = 0;
  #free: number[] = [];

  clear(): void {
    this.root = this.first = this.last = NONE;
    this.#nodes = 0;
    this.#free.length = 0;
  }

  /** Hangs a span into the tree under `parent` (NONE: it is the first), on its far or near side; returns its node. */
  insert(span: number, parent: number, isNear: boolean): number {
    const node = this.#free.pop() ?? this.#grown();
    this.span[node] = span;
    this.left[node] = this.right[node] = NONE;
    this.#up[node] = parent;
    this.#draw[node] = Math.imul(node + 1, 0x9e3779b1) ^ (Math.imul(node + 1, 0x85ebca6b) >>> 13);
    if (parent === NONE) this.root = node;
    else if (isNear) this.right[parent] = node;
    else this.left[parent] = node;
    const far = parent === NONE ? NONE : isNear ? parent : this.far[parent]!;
    const near = parent === NONE ? NONE : isNear ? this.near[parent]! : parent;
    this.#link(far, node);
    this.#link(node, near);
    while (this.#up[node] !== NONE && this.#draw[node]! < this.#draw[this.#up[node]!]!) this.#raise(node);
    return node;
  }

  remove(node: number): void {
    for (;;) {
      const left = this.left[node]!;
      const right = this.right[node]!;
      if (left === NONE && right === NONE) break;
      this.#raise(left === NONE || (right !== NONE && this.#draw[right]! < this.#draw[left]!) ? right : left);
    }
    const parent = this.#up[node]!;
    if (parent === NONE) this.root = NONE;
    else if (this.left[parent] === node) this.left[parent] = NONE;
    else this.right[parent] = NONE;
    this.#link(this.far[node]!, this.near[node]!);
    this.#free.push(node);
  }

  /** Neighbours from now on; NONE for the circle and the centre. */
  #link(far: number, near: number): void {
    if (far === NONE) this.first = near;
    else this.near[far] = near;
    if (near === NONE) this.last = far;
    else this.far[near] = far;
  }

  /** Turns a node and its parent about each other; the order stays. */
  #raise(node: number): void {
    const parent = this.#up[node]!;
    const above = this.#up[parent]!;
    let child: number;
    if (this.left[parent] === node) {
      child = this.right[node]!;
      this.left[parent] = child;
      this.right[node] = parent;
    } else {
      child = this.left[node]!;
      this.right[parent] = child;
      this.left[node] = parent;
    }
    if (child !== NONE) this.#up[child] = parent;
    this.#up[parent] = node;
    this.#up[node] = above;
    if (above === NONE) this.root = node;
    else if (this.left[above] === parent) this.left[above] = node;
    else this.right[above] = node;
  }

  #grown(): number {
    const node = this.#nodes++;
    if (node === this.span.length) {
      this.span = doubledIntegers(this.span);
      this.far = doubledIntegers(this.far);
      this.near = doubledIntegers(this.near);
      this.left = doubledIntegers(this.left);
      this.right = doubledIntegers(this.right);
      this.#up = doubledIntegers(this.#up);
      this.#draw = doubledIntegers(this.#draw);
    }
    return node;
  }
}
