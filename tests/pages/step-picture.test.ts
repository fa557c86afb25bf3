import { describe, expect, it } from 'vitest';
import { locate } from '../../electron/app-protocol.ts';
import { pictureAddress } from '../../renderer/screens/bench/step-picture.tsx';

// The page that asks and the host that serves were written apart; this holds them together.
describe('the address of a picture', () => {
  const roots = { pages: '/pages', models: '/models', procedures: ['/procedures'] };

  it('is one that the host finds among the procedures', () => {
    const found = locate('bench', pictureAddress('wt-3', 'pictures/back cover.png'), roots);
    expect(found).toMatchObject({ role: 'picture', segments: ['pictures', 'back cover.png'] });
  });

  it('is refused outside them', () => {
    expect(locate('bench', '/procedures/back-cover.png', roots)).not.toMatchObject({ role: 'picture' });
  });
});
