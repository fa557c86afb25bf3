/**
 * Names of tools, consumables and parts at the bench. A job started on this page has its plan at hand; one
 * that is gone on with has not, so its plan is made again for the names alone. Variants are not known then:
 * the first answers will do, because names do not depend on them.
 */
import { useEffect, useState } from 'react';
import type { Plan } from '../electron/core/plan/model.ts';
import { type Host, useHost } from './host.tsx';
import { namesOf } from './parts/title-block.tsx';

async function planOfNewestJob(host: Host, job: string | null): Promise<Plan | null> {
  const [jobs, products] = await Promise.all([host.ask('jobs.list', null), host.ask('products.list', null)]);
  if (!jobs.ok || !products.ok) return null;
  const newest = [...jobs.value].sort((a, b) => b.started.localeCompare(a.started));
  const summary = newest.find((one) => (job === null ? one.state === 'unfinished' : one.job === job));
  const file = products.value.find((one) => one.id === summary?.product)?.file;
  if (summary === undefined || file === undefined) return null;
  const product = await host.ask('product.open', { file });
  if (!product.ok) return null;
  const variants = Object.fromEntries(product.value.variants.map((one) => [one.id, one.answers[0] ?? '']));
  const preview = await host.ask('plan.preview', { file, replace: summary.replace, variants });
  return preview.ok ? preview.value.plan : null;
}

/** Names by id for the open job; empty until they are known, then ids in words stand in. */
export function usePlanNames(plan: Plan | null, job: string | null): ReadonlyMap<string, string> {
  const host = useHost();
  const [names, setNames] = useState(() => namesOf(plan));
  useEffect(() => {
    if (plan !== null) {
      setNames(namesOf(plan));
      return;
    }
    let current = true;
    void planOfNewestJob(host, job).then((found) => {
      if (current) setNames(namesOf(found));
    });
    return () => {
      current = false;
    };
  }, [host, plan, job]);
  return names;
}
