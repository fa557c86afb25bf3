"""Trains the acoustic network from random weights.

usage: train.py --out WEIGHTS.npz --seconds 1200 --text TEXT.jsonl --real A.npz,B.npz
                --synthetic 'gen/k_*.npz' --formant 'gen/f_*.npz' [--device cuda] [--iterations N] [--init WEIGHTS.npz]

On several GPUs of one machine: torchrun --nproc-per-node GPUS train.py ..., every process with batches of its own; `--batch` is then that
of one GPU. Data files hold `audio` (16-bit, 16 kHz, end to end), `lens` and `labels` (JSON). The learning rate
follows a cosine over the given seconds. The weights are written every minute and at the end, each
time to a new file that then takes the old one's place.
"""

import argparse
import glob
import json
import math
import os
import time

import numpy as np
import torch
import torch.distributed as together
import torch.nn.functional as F

import network as plain
from augmentation import Augmentation
from batches import Planner, SpeechStore, phone_numbers, planned_batches
from network import AcousticNetwork, Mfcc, layer_offsets, outputs_told
from phone_set import ALL_PHONES

# How often an utterance comes from each kind of speech.
REAL_SHARE, SYNTHETIC_SHARE, FORMANT_SHARE = 0.2, 0.64, 0.16
SAVE_EVERY_S = 60
HELD_OUT_EVERY_STEPS, HELD_OUT_BATCHES = 1000, 3


def phone_bigram(text: str):
    """Transition, initial and final probabilities of phones (silence included) from the texts."""
    size = len(ALL_PHONES)
    pair, first, last = np.full((size, size), 0.02), np.full(size, 0.02), np.full(size, 0.02)
    for line in open(text, encoding="utf-8").read().split("\n")[:30000]:
        said = json.loads(line) if line else []
        words = phone_numbers(said)
        if not words:
            continue
        first[0] += 0.5
        first[words[0][0]] += 0.5
        pair[0, words[0][0]] += 0.5
        for index, word in enumerate(words):
            for a, b in zip(word[:-1], word[1:], strict=True):
                pair[a, b] += 1
            end = word[-1]
            pair[end, 0] += 0.5
            if index + 1 == len(words):
                last[0] += 0.5
                last[end] += 0.5
            else:
                pair[end, words[index + 1][0]] += 0.5
                pair[0, words[index + 1][0]] += 0.5
    total = pair.sum(1) + last
    return pair / total[:, None], first / first.sum(), last / total


def arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--out", required=True)
    parser.add_argument("--seconds", type=float, required=True)
    parser.add_argument("--text", required=True)
    parser.add_argument("--real", default="")
    parser.add_argument("--synthetic", default="")
    parser.add_argument("--formant", default="")
    parser.add_argument("--init", default="", help="weights of an earlier run of this program to go on from")
    parser.add_argument("--warm-up", type=int, default=300, help="iterations until the full learning rate")
    parser.add_argument("--device", default="cuda")
    parser.add_argument("--batch", type=int, default=256)
    parser.add_argument("--rate", type=float, default=1.5e-3)
    parser.add_argument("--iterations", type=int, default=10**9)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--dropout", type=float, default=0.1)
    parser.add_argument("--planners", type=int, default=5, help="processes that plan batches; 0 plans in the loop")
    parser.add_argument("--width", type=int, default=plain.WIDTH)
    parser.add_argument("--bottleneck", type=int, default=plain.BOTTLENECK)
    parser.add_argument("--symmetric", type=int, default=5, help="layers that look 30 ms ahead each")
    parser.add_argument("--backward", type=int, default=5)
    parser.add_argument("--memory", default="", help="frames back of the layers that remember, as 24,48,12")
    return parser.parse_args()


def files(names: str) -> list[str]:
    return [path for name in filter(None, names.split(",")) for path in sorted(glob.glob(name))]


class Criterion:
    """Lattice-free MMI with a phone bigram, a cross-entropy head beside it, and a bound on the outputs."""

    def __init__(self, bigram, device: str) -> None:
        self.bigram = [torch.tensor(a, dtype=torch.float32, device=device) for a in bigram]
        if device.startswith("cuda"):
            import criterion_kernels

            self.sums = criterion_kernels
        else:
            self.sums = plain

    def __call__(self, outputs, cross_outputs, lengths, graphs):
        """Loss to minimise, and [criterion, cross-entropy, mean square output, share of usable rows]."""
        outputs = outputs.float()
        both = torch.cat([outputs, F.log_softmax(cross_outputs.float(), -1)])
        paths = self.sums.numerator(both, torch.cat([lengths, lengths]), *[torch.cat([a, a]) for a in graphs])
        wanted, cross = paths.chunk(2)
        everything = self.sums.denominator(outputs, lengths, *self.bigram)
        usable = (wanted > -1e20) & (cross > -1e20)
        count = (lengths * usable).sum().clamp_min(1)
        mmi = torch.where(usable, everything - wanted, 0.0).sum() / count
        cross_entropy = -torch.where(usable, cross, 0.0).sum() / count
        square = outputs.pow(2).mean()
        loss = mmi + 0.15 * cross_entropy + 5e-4 * square
        return loss, torch.stack([mmi.detach(), cross_entropy.detach(), square.detach(), usable.float().mean()])


class Trainer:
    def __init__(self, options, store: SpeechStore, bigram) -> None:
        self.options, self.store, device = options, store, options.device
        layers = layer_offsets(options.symmetric, options.backward, tuple(int(n) for n in options.memory.split(",") if n))
        self.network = AcousticNetwork(layers, options.width, options.bottleneck).to(device)
        if options.init:
            self.network.load(np.load(options.init))
        else:
            with torch.no_grad():
                self.network.tdnn1.weight.mul_(0.05)  # cepstra are large numbers
        self.features = Mfcc(1.0).to(device)
        self.augment = Augmentation(device, np.random.RandomState(options.seed))
        held_out = Planner(store, 99, options.batch, held_out=True).plans()
        self.held_out = [next(held_out) for _ in range(HELD_OUT_BATCHES)]
        self.criterion = Criterion(bigram, device)
        cuda = device.startswith("cuda")
        self.optimiser = torch.optim.AdamW(
            self.network.parameters(), lr=options.rate, weight_decay=0.01, betas=(0.9, 0.98), fused=cuda
        )
        self.precision = torch.autocast("cuda", torch.bfloat16, enabled=cuda)
        if together.is_initialized():
            for parameter in self.network.parameters():
                together.broadcast(parameter.data, 0)

    def inputs(self, plan):
        device = self.options.device
        start, end, length = (torch.from_numpy(a).to(device, non_blocking=True) for a in (plan.start, plan.end, plan.length))
        with torch.no_grad():
            x = self.augment(self.store.lay_out(plan), length.float(), start, end)
            x, frames = self.features.of_each(x, length, warped=True)
        graphs = [torch.from_numpy(a).to(device, non_blocking=True) for a in plan.graphs]
        return x, frames, graphs

    def loss(self, plan):
        x, frames, graphs = self.inputs(plan)
        with self.precision:
            outputs, cross_outputs = self.network(x, self.options.dropout, both_heads=True)
        return self.criterion(outputs, cross_outputs, outputs_told(frames, outputs), graphs)

    def held_out_report(self) -> torch.Tensor:
        """The criterion on speech that is never trained on, each time in the same noise."""
        self.network.eval()
        device = self.options.device
        usual, self.augment.rng = self.augment.rng, np.random.RandomState(99)
        with torch.no_grad(), torch.random.fork_rng([device] if device.startswith("cuda") else []):
            torch.manual_seed(99)
            report = torch.stack([self.loss(plan)[1] for plan in self.held_out]).mean(0)
        self.augment.rng = usual
        return report

    def step(self, plan, rate: float) -> torch.Tensor:
        self.network.train()
        loss, report = self.loss(plan)
        self.optimiser.zero_grad(set_to_none=True)
        loss.backward()
        if together.is_initialized():
            self.average_gradients()
        norm = torch.nn.utils.clip_grad_norm_(self.network.parameters(), 3.0, foreach=True)
        for parameter in self.network.parameters():  # a broken batch must not break the network
            parameter.grad.copy_(torch.where(torch.isfinite(norm), parameter.grad, 0.0))
        for group in self.optimiser.param_groups:
            group["lr"] = rate
        self.optimiser.step()
        return report

    def average_gradients(self) -> None:
        gradients = [parameter.grad for parameter in self.network.parameters()]
        flat = torch.cat([gradient.flatten() for gradient in gradients])
        together.all_reduce(flat)
        flat /= together.get_world_size()
        for gradient, part in zip(gradients, flat.split([gradient.numel() for gradient in gradients]), strict=True):
            gradient.copy_(part.view_as(gradient))

    def save(self) -> None:
        state = {k: v.detach().float().cpu().numpy() for k, v in self.network.state_dict().items() if "num_batches" not in k}
        state["layers"] = np.array(json.dumps(self.network.layers))
        np.savez(f"{self.options.out}.tmp.npz", **state)
        os.replace(f"{self.options.out}.tmp.npz", self.options.out)


class Clock:
    """How far the training is, 0 to 1, the same for all processes: the first one's clock, passed on every few steps."""

    PASSED_ON_EVERY = 20

    def __init__(self, options) -> None:
        self.options, self.started, self.share = options, time.time(), 0.0

    def elapsed(self) -> float:
        return time.time() - self.started

    def at(self, iteration: int) -> float:
        now = max(self.elapsed() / self.options.seconds, iteration / self.options.iterations)
        if not together.is_initialized():
            return now
        if iteration % self.PASSED_ON_EVERY == 0:
            told = torch.tensor([now], device=self.options.device)
            together.broadcast(told, 0)
            self.share = told.item()
        return self.share


def join(options, rank: int) -> None:
    """Joins the other processes where torchrun started several."""
    if int(os.environ.get("WORLD_SIZE", "1")) > 1:
        cuda = options.device.startswith("cuda")
        if cuda:
            options.device = f"cuda:{os.environ['LOCAL_RANK']}"
            torch.cuda.set_device(options.device)
        together.init_process_group("nccl" if cuda else "gloo")
        options.seed = options.seed * 100 + rank


def main() -> None:
    options = arguments()
    rank = int(os.environ.get("RANK", "0"))
    store = SpeechStore()
    for kind, names, share in (
        ("real", options.real, REAL_SHARE),
        ("synthetic", options.synthetic, SYNTHETIC_SHARE),
        ("formant", options.formant, FORMANT_SHARE),
    ):
        print(f"{kind} {store.add(files(names), share):.2f} h", flush=True)
    bigram = phone_bigram(options.text)
    # Processes that plan are forked before the GPU is used.
    plans = planned_batches(store, options.seed * 100 + rank, options.batch, options.planners)
    join(options, rank)
    torch.manual_seed(options.seed)
    torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = True
    store.to(options.device)
    trainer = Trainer(options, store, bigram)
    clock, saved, iteration, sums = Clock(options), time.time(), 0, []
    for plan in plans:
        share = clock.at(iteration)
        if share >= 1:
            break
        rate = options.rate * min(1, (iteration + 1) / options.warm_up) * (0.5 * (1 + math.cos(math.pi * share)) + 0.002)
        sums.append(trainer.step(plan, rate))
        iteration += 1
        if rank:
            sums = []
            continue
        if iteration % 200 == 0 or iteration < 4:
            mmi, cross, square, used = torch.stack(sums).mean(0).tolist()
            sums, elapsed = [], clock.elapsed()
            print(
                f"it {iteration} t {elapsed:.0f} rate {rate:.5f} mmi {mmi:.4f} xent {cross:.4f} square {square:.2f} "
                f"used {used:.3f} it/s {iteration / elapsed:.2f}",
                flush=True,
            )
        if iteration % HELD_OUT_EVERY_STEPS == 0:
            mmi, cross, square, used = trainer.held_out_report().tolist()
            print(f"held out: it {iteration} mmi {mmi:.4f} xent {cross:.4f} used {used:.3f}", flush=True)
        if time.time() - saved > SAVE_EVERY_S:
            saved = time.time()
            trainer.save()
    if rank == 0:
        trainer.save()
        print(f"saved after {iteration} iterations", flush=True)
    if together.is_initialized():
        together.destroy_process_group()


if __name__ == "__main__":
    main()
