// @vitest-environment jsdom
/** Refusals on the page: in the page's own words where the bridge says no more than what happened. */
import { render, screen } from '@testing-library/react';
import { afterEach, describe, expect, it } from 'vitest';
import { ENGLISH_TABLE } from '../../electron/core/base/language-table.ts';
import { Refused } from '../../renderer/parts/refused.tsx';
import { pageWords } from '../../renderer/words/page-words.ts';
import { WordsProvider } from '../../renderer/words/words.ts';
import { pseudoTable } from '../language/pseudo-locale.ts';

afterEach(() => document.body.replaceChildren());

function told(code: string, message = '', mend = ''): string {
  document.body.replaceChildren();
  render(
    <WordsProvider value={pageWords(pseudoTable())}>
      <Refused error={{ code, message, mend }} />
    </WordsProvider>,
  );
  return screen.getByRole('alert').textContent ?? '';
}

describe('a refusal', () => {
  it.each(Object.keys(ENGLISH_TABLE.page.bridge))('%s has what and what to do in the language', (code) => {
    expect(told(code)).toMatch(/^⟦.+⟧⟦.+⟧$/);
  });

  it('of the host stands as the host has said it; one without words is told all the same', () => {
    expect(told('disk/enospc', 'Voll.', 'Platz machen.')).toBe('Voll.Platz machen.');
    expect(told('toString')).toMatch(/^⟦.+⟧$/);
  });
});
