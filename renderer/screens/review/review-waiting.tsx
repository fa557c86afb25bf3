/** While a review is made: what the program is at, and how far; a first import of many jobs takes a minute. */
import { useCallback, useState } from 'react';
import type { ReviewProgress } from '../../../electron/core/review/model.ts';
import type { Push } from '../../../electron/ipc/contract.ts';
import { usePush } from '../../host.tsx';
import { Waiting } from '../../parts/waiting.tsx';
import { useWords } from '../../words/words.ts';

export function ReviewWaiting() {
  const w = useWords();
  const [progress, setProgress] = useState<ReviewProgress | null>(null);
  usePush(
    useCallback((push: Push) => {
      if (push.type === 'review-progress') setProgress(push.progress);
    }, []),
  );
  if (progress === null) return <Waiting />;
  const { stage, done, total } = progress;
  if (stage !== 'reading') return <Waiting what={w.review[stage]} />;
  return <Waiting what={w.review.readingLogs(done, total)} share={total === 0 ? undefined : done / total} />;
}
