/**
 * HTML and SVG text with everything escaped by default. A template's values are escaped unless they were made
 * by this module; so a text from a log can never become a tag.
 */
import { ENGLISH, type Language } from '../base/language.ts';

/** Markup that was made here and may stand as it is. */
export class Markup {
  readonly #text: string;
  constructor(text: string) {
    this.#text = text;
  }
  toString(): string {
    return this.#text;
  }
}

type Value = string | number | Markup | null | readonly (Markup | string)[];

const ESCAPES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

// Control characters (but tab, line feed and carriage return) and unpaired surrogates are no HTML text; direction
// overrides would show a text other than the one that is there.
// biome-ignore lint/suspicious/noControlCharactersInRegex: these are what must go
const UNSHOWABLE = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f\u202a-\u202e\u2066-\u2069]/g;
const LONE_SURROGATE = /[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g;

/** The text for use in an element or a quoted attribute. */
export function escapeHtml(text: string): string {
  return text
    .replace(UNSHOWABLE, '\ufffd')
    .replace(LONE_SURROGATE, '\ufffd')
    .replace(/[&<>"']/g, (character) => ESCAPES[character] ?? '');
}

function render(value: Value): string {
  if (value === null) return '';
  if (value instanceof Markup) return value.toString();
  if (typeof value === 'object') return value.map(render).join('');
  return escapeHtml(String(value));
}

/** Template tag: `html\`<p>${text}</p>\`` escapes `text`. Attributes must be quoted. */
export function html(parts: TemplateStringsArray, ...values: readonly Value[]): Markup {
  return new Markup(parts.reduce((text, part, index) => text + render(values[index - 1] ?? null) + part));
}

/** A table with a caption and column heads; numbers are set right. */
export function table(
  caption: string,
  head: readonly string[],
  rows: readonly (readonly (string | number | Markup)[])[],
): Markup {
  const cell = (value: string | number | Markup): Markup =>
    typeof value === 'number' ? html`<td class="number">${value}</td>` : html`<td>${value}</td>`;
  return html`<table><caption>${caption}</caption>
<thead><tr>${head.map((one) => html`<th scope="col">${one}</th>`)}</tr></thead>
<tbody>${rows.map((row) => html`<tr>${row.map(cell)}</tr>\n`)}</tbody></table>`;
}

/** A number with a fixed count of decimals, with the decimal sign of the language. */
export function fixedText(value: number, decimals: number, language: Language): string {
  return value.toFixed(decimals).replace('.', language.rules.decimal);
}

/** Milliseconds as "1 h 05 min 09 s", "5 min 09 s" or "9.1 s". */
export function spanText(ms: number, language: Language = ENGLISH): string {
  const words = language.reports.span;
  if (ms < 60_000) return words.seconds({ s: fixedText(ms / 1000, 1, language) });
  const seconds = Math.round(ms / 1000);
  const two = (value: number): string => String(value).padStart(2, '0');
  const minutes = Math.floor(seconds / 60) % 60;
  const hours = Math.floor(seconds / 3600);
  const s = two(seconds % 60);
  return hours > 0 ? words.hours({ h: hours, min: two(minutes), s }) : words.minutes({ min: minutes, s });
}

/** A share of 0…1 as "12 %". */
export function percentText(share: number | null, language: Language = ENGLISH): string {
  if (share === null) return '–';
  return language.reports.percent({ value: fixedText(100 * share, share < 0.1 ? 1 : 0, language) });
}

/** RFC 3339 text as "2026-01-05 10:00". */
export function dateText(timestamp: string): string {
  return timestamp.slice(0, 16).replace('T', ' ');
}

const STYLE = `
:root { color-scheme: light; }
body { font: 11pt/1.45 system-ui, sans-serif; color: #111; background: #fff; max-width: 52rem; margin: 2rem auto; padding: 0 1rem; }
h1 { font-size: 1.6rem; margin: 0 0 .3rem; } h2 { font-size: 1.15rem; margin: 1.6rem 0 .4rem; border-bottom: 1px solid #888; }
h3 { font-size: 1rem; margin: 1rem 0 .2rem; }
table { border-collapse: collapse; width: 100%; font-size: .86em; margin: .4rem 0 1rem; } caption { text-align: left; font-weight: 600; padding: .2rem 0; }
th, td { text-align: left; padding: .2rem .5rem; border-bottom: 1px solid #ccc; vertical-align: top; } td.number { text-align: right; font-variant-numeric: tabular-nums; }
dl { display: grid; grid-template-columns: max-content 1fr; gap: .15rem 1rem; margin: .4rem 0; } dt { color: #444; } dd { margin: 0; }
.bad { font-weight: 700; } .bad::before { content: "▲ "; } .note { color: #444; font-size: .9rem; }
.signature { display: grid; grid-template-columns: 1fr 1fr; gap: 2rem; margin-top: 2.5rem; } .signature div { border-top: 1px solid #111; padding-top: .2rem; }
figure { margin: .6rem 0 1rem; } figcaption { font-size: .9rem; color: #444; } svg { width: 100%; height: auto; }
svg text { font: 11px system-ui, sans-serif; fill: #111; }
@media print { body { margin: 0; max-width: none; font-size: 10pt; } h2 { break-after: avoid; } table, figure { break-inside: auto; } tr { break-inside: avoid; } thead { display: table-header-group; } }
@page { margin: 18mm 16mm; }
`;

/** A whole page that needs nothing from elsewhere and runs no script. */
export function page(title: string, body: Markup, language: Language = ENGLISH): string {
  const { tag, direction } = language.table.language;
  return html`<!doctype html>
<html lang="${tag}" dir="${direction}"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; img-src data:">
<title>${title}</title><style>${new Markup(STYLE)}</style></head>
<body>${body}</body></html>
`.toString();
}
