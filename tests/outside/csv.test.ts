import { describe, expect, it } from 'vitest';
import { type Cell, csvText } from '../../electron/core/export/csv.ts';

/** A reader written from RFC 4180 section 2 alone: quoted fields, doubled quotes, CRLF ends a record. */
function readCsv(text: string): string[][] {
  const records: string[][] = [];
  let record: string[] = [];
  let field = '';
  let at = 0;
  const endField = (): void => {
    record.push(field);
    field = '';
  };
  while (at < text.length) {
    if (text[at] === '"') {
      at += 1;
      while (!(text[at] === '"' && text[at + 1] !== '"')) {
        if (at >= text.length) throw new Error('unclosed quote');
        if (text[at] === '"') at += 1;
        field += text[at];
        at += 1;
      }
      at += 1;
      if (text[at] !== ',' && text.slice(at, at + 2) !== '\r\n') throw new Error('text after a quote');
    } else if (text[at] === ',') {
      endField();
      at += 1;
      if (text.slice(at, at + 2) === '\r\n' || at === text.length) continue;
    } else if (text.slice(at, at + 2) === '\r\n') {
      endField();
      records.push(record);
      record = [];
      at += 2;
    } else {
      if (text[at] === '"' || text[at] === '\r' || text[at] === '\n')
        throw new Error('bare quote or line end');
      field += text[at];
      at += 1;
    }
  }
  return records;
}

// Source: RFC 4180 section 2; the cases are those of the collection csv-spectrum, retyped: comma in quotes with a
// leading zero, empty fields, quotes and line feeds inside, JSON inside, UTF-8.
describe('RFC 4180', () => {
  const cases: Cell[][] = [
    ['John', 'Anytown, WW', '08123'],
    ['1', '', ''],
    ['1', 'ha "ha" ha', '4'],
    ['1', 'one\ntwo', 'three\r\nfour'],
    ['1', '{"type":"Point","coordinates":[102,0.5]}', 'ʤ'],
    [' 1 ', 'spaces are data', '  '],
    ['"', '""', ','],
  ];
  const header = ['a', 'b', 'c'];
  const text = csvText(header, cases);

  it('comes back as it was', () => {
    expect(readCsv(text)).toEqual([header, ...cases]);
  });

  it('ends every record with CRLF, the last one too', () => {
    expect(text.endsWith('\r\n')).toBe(true);
    expect(csvText(['a'], [])).toBe('a\r\n');
  });

  it('quotes just what must be quoted and doubles quotes', () => {
    expect(csvText(['h'], [['plain'], ['a,b'], ['x"y'], ['l\nf'], ['c\rr']])).toBe(
      'h\r\nplain\r\n"a,b"\r\n"x""y"\r\n"l\nf"\r\n"c\rr"\r\n',
    );
  });

  it('gives every record as many fields as the header', () => {
    expect(new Set(readCsv(text).map((record) => record.length))).toEqual(new Set([3]));
  });
});

// Source: OWASP, CSV Injection: cells that begin with = + − @ tab or carriage return.
describe('formula injection', () => {
  it('leaves no cell that a spreadsheet would compute', () => {
    const evil = ['=HYPERLINK("http://x","y")', '+1', '-2+3', '@SUM(1)', '\t=1', '\r=1', '=1,2'];
    const rows = readCsv(
      csvText(
        ['h'],
        evil.map((cell) => [cell]),
      ),
    );
    for (const [index, row] of rows.slice(1).entries()) {
      expect(row[0]?.replaceAll("'", '')).toBe(evil[index]);
      expect(row[0]?.[0]).toBe("'");
      expect(/^[=+\-@\t\r]/.test(row[0]!)).toBe(false);
    }
  });
  it('leaves a negative number alone', () => {
    expect(readCsv(csvText(['h'], [[-4], [-0.5]])).slice(1)).toEqual([['-4'], ['-0.5']]);
  });
});
