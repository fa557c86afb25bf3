"""The training criterion's two sums and their gradients as one GPU kernel each (Triton).

`network.numerator` and `network.denominator` say what is meant, in plain PyTorch; a loop over frames
there starts some ten operators a frame, forwards and again backwards, which is most of the time of a
training step. Here one program a row walks through the frames forwards and backwards and leaves the
gradient, which is the probability of being in a state. `test_criterion.py` compares the two.
"""

import torch
import triton
import triton.language as tl

NEGATIVE = tl.constexpr(-1e30)


@triton.jit
def _log_add(a, b):
    top = tl.maximum(a, b)
    return top + tl.log(tl.exp(a - top) + tl.exp(b - top))


@triton.jit
def _numerator(out, lengths, phone, skip, valid, final, until, history, grad, total, frames, states, pdfs, S: tl.constexpr):
    row = tl.program_id(0)
    s = tl.arange(0, S)
    inside = s < states
    length = tl.load(lengths + row)
    p = tl.load(phone + row * states + s, mask=inside, other=0)
    good = tl.load(valid + row * states + s, mask=inside, other=0) != 0
    may_skip = tl.load(skip + row * states + s, mask=inside, other=0) != 0
    next_skips = tl.load(skip + row * states + s + 2, mask=s + 2 < states, other=0) != 0
    last = tl.load(final + row * states + s, mask=inside, other=0) != 0
    latest = tl.load(until + row * states + s, mask=inside, other=0)
    out += row * frames * pdfs
    grad += row * frames * pdfs
    history += row * frames * S
    first = tl.load(out + 2 * p)
    alpha = tl.where(good & (s < 2), first - 0.6931471805599453, NEGATIVE)
    tl.store(history + s, alpha)
    tl.debug_barrier()
    for t in range(1, length):
        before = history + (t - 1) * S
        one = tl.load(before + s - 1, mask=s >= 1, other=NEGATIVE)
        two = tl.load(before + s - 2, mask=(s >= 2) & may_skip, other=NEGATIVE)
        first = tl.load(out + t * pdfs + 2 * p)
        further = tl.load(out + t * pdfs + 2 * p + 1)
        alpha = _log_add(alpha + further, _log_add(one, two) + first)
        alpha = tl.where(good & (t <= latest), alpha, NEGATIVE)
        tl.store(history + t * S + s, alpha)
        tl.debug_barrier()
    beta = tl.where(last, 0.0, NEGATIVE)
    ended = alpha + beta
    top = tl.max(ended, 0)
    log_sum = top + tl.log(tl.sum(tl.exp(ended - top), 0))
    tl.store(total + row, log_sum)
    # Backwards. `history` at t is read for the last time before it is overwritten with what enters at t + 1.
    for k in range(1, length):
        t = length - k
        beta = tl.where(t <= latest, beta, NEGATIVE)
        before = history + (t - 1) * S
        here = tl.load(before + s)
        one = tl.load(before + s - 1, mask=s >= 1, other=NEGATIVE)
        two = tl.load(before + s - 2, mask=(s >= 2) & may_skip, other=NEGATIVE)
        first = tl.load(out + t * pdfs + 2 * p)
        further = tl.load(out + t * pdfs + 2 * p + 1)
        entering = first + beta
        tl.atomic_add(grad + t * pdfs + 2 * p, tl.exp(_log_add(one, two) + entering - log_sum), mask=good)
        tl.atomic_add(grad + t * pdfs + 2 * p + 1, tl.exp(here + further + beta - log_sum), mask=good)
        place = history + t * S
        tl.store(place + s, tl.where(good, entering, NEGATIVE))
        tl.debug_barrier()
        one = tl.load(place + s + 1, mask=s + 1 < states, other=NEGATIVE)
        two = tl.load(place + s + 2, mask=(s + 2 < states) & next_skips, other=NEGATIVE)
        beta = tl.where(good, _log_add(further + beta, _log_add(one, two)), NEGATIVE)
    alpha = tl.load(history + s)
    tl.atomic_add(grad + 2 * p, tl.exp(alpha + beta - log_sum), mask=good & (s < 2))


@triton.jit
def _denominator(scaled, peak, lengths, transition, initial, final, history, scales, grad, total, frames, phones, P: tl.constexpr):
    row = tl.program_id(0)
    p = tl.arange(0, P)
    inside = p < phones
    length = tl.load(lengths + row)
    square = p[:, None] * phones + p[None, :]
    arcs = tl.load(transition + square, mask=inside[:, None] & inside[None, :], other=0.0)
    scaled += row * frames * phones * 2
    grad += row * frames * phones * 2
    history += row * frames * P
    scales += row * frames
    peak += row * frames
    first = tl.load(scaled + 2 * p, mask=inside, other=0.0)
    alpha = tl.load(initial + p, mask=inside, other=0.0) * first
    sum_ = tl.sum(alpha, 0)
    alpha = alpha / sum_
    log_sum = tl.log(sum_) + tl.load(peak)
    tl.store(history + p, alpha)
    tl.store(scales, sum_)
    tl.debug_barrier()
    for t in range(1, length):
        first = tl.load(scaled + t * 2 * phones + 2 * p, mask=inside, other=0.0)
        further = tl.load(scaled + t * 2 * phones + 2 * p + 1, mask=inside, other=0.0)
        entered = tl.sum(tl.load(history + (t - 1) * P + p)[:, None] * arcs, 0)
        alpha = alpha * further + entered * first
        sum_ = tl.sum(alpha, 0)
        alpha = alpha / sum_
        log_sum += tl.log(sum_) + tl.load(peak + t)
        tl.store(history + t * P + p, alpha)
        tl.store(scales + t, sum_)
        tl.debug_barrier()
    end = tl.load(final + p, mask=inside, other=0.0)
    ended = tl.sum(alpha * end, 0) + 1e-30
    tl.store(total + row, log_sum + tl.log(ended))
    beta = end / ended
    for k in range(1, length):
        t = length - k
        first = tl.load(scaled + t * 2 * phones + 2 * p, mask=inside, other=0.0)
        further = tl.load(scaled + t * 2 * phones + 2 * p + 1, mask=inside, other=0.0)
        before = tl.load(history + (t - 1) * P + p)
        scale = tl.load(scales + t)
        tl.debug_barrier()
        entered = tl.sum(before[:, None] * arcs, 0)
        entering = first * beta / scale
        staying = further * beta / scale
        tl.store(grad + t * 2 * phones + 2 * p, entered * entering, mask=inside)
        tl.store(grad + t * 2 * phones + 2 * p + 1, before * staying, mask=inside)
        tl.store(history + t * P + p, entering)
        tl.debug_barrier()
        beta = staying + tl.sum(arcs * tl.load(history + t * P + p)[None, :], 1)
    alpha = tl.load(history + p)
    tl.store(grad + 2 * p, alpha * beta, mask=inside)


class Numerator(torch.autograd.Function):
    @staticmethod
    def forward(ctx, outputs, lengths, phone, skip, valid, final, until):
        batch, frames, pdfs = outputs.shape
        states = phone.shape[1]
        size = max(16, triton.next_power_of_2(states))
        outputs = outputs.contiguous()
        history = torch.empty(batch, frames, size, device=outputs.device)
        grad, total = torch.zeros_like(outputs), torch.empty(batch, device=outputs.device)
        flags = [a.to(torch.int8).contiguous() for a in (skip, valid, final)]
        _numerator[(batch,)](
            outputs, lengths.contiguous(), phone.contiguous(), *flags, until.contiguous(), history, grad, total, frames, states, pdfs, S=size,
            num_warps=min(8, max(1, size // 32)),
        )  # fmt: skip
        ctx.save_for_backward(grad)
        return total

    @staticmethod
    def backward(ctx, upstream):
        (grad,) = ctx.saved_tensors
        return torch.where(upstream[:, None, None] == 0, 0.0, grad * upstream[:, None, None]), None, None, None, None, None, None


class Denominator(torch.autograd.Function):
    @staticmethod
    def forward(ctx, outputs, lengths, transition, initial, final):
        batch, frames, pdfs = outputs.shape
        phones = pdfs // 2
        size = triton.next_power_of_2(phones)
        peak = outputs.amax(2)
        scaled = torch.exp((outputs - peak[:, :, None]).clamp_min(-60)).contiguous()
        history = torch.empty(batch, frames, size, device=outputs.device)
        scales = torch.empty(batch, frames, device=outputs.device)
        grad, total = torch.zeros_like(scaled), torch.empty(batch, device=outputs.device)
        _denominator[(batch,)](
            scaled, peak.contiguous(), lengths.contiguous(), transition.contiguous(), initial, final, history, scales, grad, total,
            frames, phones, P=size, num_warps=4,
        )  # fmt: skip
        ctx.save_for_backward(grad)
        return total

    @staticmethod
    def backward(ctx, upstream):
        (grad,) = ctx.saved_tensors
        return grad * upstream[:, None, None], None, None, None, None


def numerator(outputs, lengths, phone, skip, valid, final, until):
    return Numerator.apply(outputs, lengths, phone, skip, valid, final, until)


def denominator(outputs, lengths, transition, initial, final):
    return Denominator.apply(outputs, lengths, transition, initial, final)
