import { describe, expect, it } from 'vitest';
import { csvOfJobs, csvOfSteps, csvText, neutraliseFormula } from '../../../electron/core/export/csv.ts';
import { jsonOfJobReview } from '../../../electron/core/export/json.ts';
import { jobReview } from '../../../electron/core/review/job-review.ts';
import { aliasOf, reviewWithAliases } from '../../../electron/core/review/people.ts';
import { linesOf, sampleFile, sampleRecords } from '../review/sample-job.ts';

const review = jobReview(sampleFile('=job'), linesOf(sampleRecords('Pat')), 'complete');

describe('csv', () => {
  it('neutralises what a spreadsheet would compute', () => {
    for (const text of ['=1+1', '+1', '-1', '@SUM(A1)', '\tx', ' =1', '\uff1d1', '\ufeff=1'])
      expect(neutraliseFormula(text)).toBe(`'${text}`);
    for (const text of ['1-2', 'a=b', '', "it's", 'M3 x 8']) expect(neutraliseFormula(text)).toBe(text);
  });

  it('neutralises what becomes a cell of its own where a file is split at semicolons, tabs or line ends', () => {
    // Common practice, no source: a spreadsheet of a country with a decimal comma splits at semicolons, and then a
    // quote in the middle of a line is no quote.
    const cases = {
      'a;=1': "a;'=1",
      'a; @b;-2': "a; '@b;'-2",
      'a\t=1': "a\t'=1",
      'a\r\n+1\n\uff1d2': "a\r\n'+1\n'\uff1d2",
      'a;"=1"': 'a;"\'=1"',
      '\t=1': "'\t'=1",
      'a;b=1; c-2, =3': 'a;b=1; c-2, =3',
    };
    for (const [text, safe] of Object.entries(cases)) expect(neutraliseFormula(text)).toBe(safe);
    const cells = csvText(['a', 'b'], [['x,y;=1', 'z\n=2']]).split(/[;\t\r\n]/);
    expect(cells.filter((cell) => /^[\s"]*[=+@-]/.test(cell))).toEqual([]);
  });

  it('keeps negative numbers as numbers and writes what is not finite as nothing', () => {
    expect(csvText(['a', 'b'], [[-4, Number.NaN]])).toBe('a,b\r\n-4,\r\n');
  });

  it('begins with a byte order mark only when asked', () => {
    expect(csvText(['ä'], [], { bom: true })).toBe('\ufeffä\r\n');
  });

  it('writes one row a step with units in the header and pseudonyms', () => {
    const alias = aliasOf([review.times], 'pseudonyms');
    const rows = csvOfSteps([review.times], alias).split('\r\n');
    expect(rows[0]).toContain('active_ms,hands_ms,reading_ms,waiting_ms');
    expect(rows.length).toBe(6);
    expect(rows[2]).toBe(
      "'=job,sample,1,cover,T1,2026-01-05T10:00:00.000+01:00,completed,2,b,remove,Do b.,confirmed,10,18000,10500,5000,2500,14000,2,1,1,0,0",
    );
    expect(rows.join()).not.toContain('Pat');
  });

  it('writes one row a job', () => {
    expect(csvOfJobs([review.times], (name) => name).split('\r\n')[1]).toContain('Pat,');
  });
});

describe('json', () => {
  it('holds the review, and no name once aliases are applied', () => {
    const text = jsonOfJobReview(reviewWithAliases(review, aliasOf([review.times], 'pseudonyms')));
    expect(JSON.parse(text).review.times.steps.length).toBe(4);
    expect(text).not.toContain('Pat');
    expect(text.endsWith('\n')).toBe(true);
  });
});
