// The report's card of one tree, loaded when one is selected. In and out: see report/page/card.ts; the style of its drawing.

export { DRAWING_CSS } from '../../report/drawing/palette.js';
export { cardHtml } from '../../report/page/card.js';
