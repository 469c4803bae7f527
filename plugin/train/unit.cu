// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// The gated recurrent unit of quick.c for an accelerator: its weights stay in registers, what is remembered in shared memory, and one
// launch goes through all of the time. A block takes TAKES takes; thread `row` has a row of the weights. All arrays are
// [time][take][...], floats; the number of takes is a multiple of TAKES. Build: nvcc -O3 -shared -Xcompiler -fPIC -o unit.so unit.cu

#define TAKES 6 // so that each of 3 UNITS threads has MINE elements of UNITS * TAKES
#define MINE (TAKES / 3)

__device__ static inline float
sigmoid(const float x)
{
  return __fdividef(1.0f, 1.0f + __expf(-x));
}

/// row . x for each take. @param x [TAKES][stride], from here on UNITS of each
template <int UNITS>
__device__ static inline void
dot(const float (&row)[UNITS], const float* const x, const int stride, float (&to)[TAKES])
{
  for (int take = 0; take < TAKES; ++take) {
    to[take] = 0.0f;
  }
#pragma unroll
  for (int k = 0; k < UNITS; k += 4) {
#pragma unroll
    for (int take = 0; take < TAKES; ++take) {
      const float4 four = *(const float4*)(x + take * stride + k);
      to[take] += row[k] * four.x + row[k + 1] * four.y + row[k + 2] * four.z + row[k + 3] * four.w;
    }
  }
}

/// @param x [time][take][3 UNITS]: what comes in through W_ih and its bias (reset, update, new). @param weights W_hh, as PyTorch keeps it.
/// @param memory [time + 1][take][UNITS], the first given. @param kept [time][take][4 UNITS] for the gradient
template <int UNITS>
__global__ void __launch_bounds__(3 * UNITS)
forward(const float* x, const float* const weights, const float* const bias, const int ticks, const int takes, float* memory, float* kept)
{
  __shared__ __align__(16) float h[TAKES][UNITS], sums[TAKES][3 * UNITS];
  const int                      row = threadIdx.x, first = blockIdx.x * TAKES;
  float                          w[UNITS], next[MINE][3];
  for (int k = 0; k < UNITS; ++k) {
    w[k] = weights[row * UNITS + k];
  }
  const float mine = bias[row];
  x += (size_t)first * 3 * UNITS, memory += (size_t)first * UNITS, kept += (size_t)first * 4 * UNITS;
  for (int m = 0; m < MINE; ++m) {
    const int i = row + m * 3 * UNITS, u = i % UNITS, take = i / UNITS;
    h[take][u]  = memory[i];
    for (int gate = 0; gate < 3; ++gate) {
      next[m][gate] = x[take * 3 * UNITS + gate * UNITS + u];
    }
  }
  for (int t = 0; t < ticks; ++t) {
    __syncthreads();
    x += (size_t)takes * 3 * UNITS;
    float now[MINE][3], sum[TAKES];
    for (int m = 0; m < MINE; ++m) {
      const int i = row + m * 3 * UNITS, u = i % UNITS, take = i / UNITS;
      for (int gate = 0; gate < 3; ++gate) {
        now[m][gate]  = next[m][gate];
        next[m][gate] = t + 1 < ticks ? x[take * 3 * UNITS + gate * UNITS + u] : 0.0f;
      }
    }
    dot<UNITS>(w, &h[0][0], UNITS, sum);
    for (int take = 0; take < TAKES; ++take) {
      sums[take][row] = sum[take] + mine;
    }
    __syncthreads();
    memory += (size_t)takes * UNITS;
    for (int m = 0; m < MINE; ++m) {
      const int   i = row + m * 3 * UNITS, u = i % UNITS, take = i / UNITS;
      const float r = sigmoid(now[m][0] + sums[take][u]), z = sigmoid(now[m][1] + sums[take][UNITS + u]);
      const float past  = sums[take][2 * UNITS + u];
      const float fresh = 2.0f * sigmoid(2.0f * (now[m][2] + r * past)) - 1.0f;
      const float then  = fresh + z * (h[take][u] - fresh);
      h[take][u] = memory[i] = then;
      float* const k = kept + take * 4 * UNITS + u;
      k[0] = r, k[UNITS] = z, k[2 * UNITS] = fresh, k[3 * UNITS] = past;
    }
    kept += (size_t)takes * 4 * UNITS;
  }
}

/// What the gradient of a moment needs, ahead of time: the four kept, what was remembered, what comes from above
template <int UNITS>
__device__ static inline void
look_up(const int row, const size_t at, const float* const memory, const float* const kept, const float* const above, float (&to)[MINE][6])
{
  for (int m = 0; m < MINE; ++m) {
    const int i = row + m * 3 * UNITS, u = i % UNITS, take = i / UNITS;
    for (int what = 0; what < 4; ++what) {
      to[m][what] = kept[(at + take) * 4 * UNITS + what * UNITS + u];
    }
    to[m][4] = memory[at * UNITS + i];
    to[m][5] = above[at * UNITS + i];
  }
}

/// @param above [time][take][UNITS]: gradient of what is remembered. @param dx [time][take][3 UNITS]. @param d_past [time][take][UNITS]: of
/// what came through the rows of W_hh for `new`; through the others came what dx has
template <int UNITS>
__global__ void __launch_bounds__(3 * UNITS)
backward(const float* const weights, const float* memory, const float* kept, const float* above, const int ticks, const int takes, float* dx,
         float* d_past)
{
  __shared__ __align__(16) float out[TAKES][3 * UNITS], sums[3][TAKES][UNITS];
  const int                      row = threadIdx.x, gate = row / UNITS, to = row % UNITS, first = blockIdx.x * TAKES;
  float                          w[UNITS], down[MINE], next[MINE][6];
  for (int k = 0; k < UNITS; ++k) {
    w[k] = weights[(gate * UNITS + k) * UNITS + to];
  }
  for (int m = 0; m < MINE; ++m) {
    const int i = row + m * 3 * UNITS;
    down[m]     = 0.0f;
    for (int g = 0; g < 3; ++g) {
      sums[g][i / UNITS][i % UNITS] = 0.0f;
    }
  }
  look_up<UNITS>(row, (size_t)(ticks - 1) * takes + first, memory, kept, above, next);
  for (int t = ticks - 1; t >= 0; --t) {
    const size_t at = (size_t)t * takes + first;
    float        now[MINE][6];
    for (int m = 0; m < MINE; ++m) {
      for (int what = 0; what < 6; ++what) {
        now[m][what] = next[m][what];
      }
    }
    if (t > 0) {
      look_up<UNITS>(row, at - takes, memory, kept, above, next);
    }
    for (int m = 0; m < MINE; ++m) {
      const int    i = row + m * 3 * UNITS, u = i % UNITS, take = i / UNITS;
      const float  r = now[m][0], z = now[m][1], fresh = now[m][2], past = now[m][3];
      const float  all     = down[m] + sums[0][take][u] + sums[1][take][u] + sums[2][take][u] + now[m][5];
      const float  d_fresh = all * (1.0f - z) * (1.0f - fresh * fresh);
      const float  d_r = d_fresh * past * r * (1.0f - r), d_z = all * (now[m][4] - fresh) * z * (1.0f - z);
      float* const d = dx + (at + take) * 3 * UNITS + u;
      down[m]        = all * z;
      d[0] = d_r, d[UNITS] = d_z, d[2 * UNITS] = d_fresh;
      d_past[(at + take) * UNITS + u] = d_fresh * r;
      out[take][u] = d_r, out[take][UNITS + u] = d_z, out[take][2 * UNITS + u] = d_fresh * r;
    }
    __syncthreads();
    float sum[TAKES];
    dot<UNITS>(w, &out[0][gate * UNITS], 3 * UNITS, sum);
    for (int take = 0; take < TAKES; ++take) {
      sums[gate][take][to] = sum[take];
    }
    __syncthreads();
  }
}

#ifdef __CUDACC__
#define LAUNCH(kernel, ...)                                                                                                              \
  switch (units) {                                                                                                                        \
  case 48: kernel<48><<<takes / TAKES, 144>>>(__VA_ARGS__); break;                                                                        \
  case 64: kernel<64><<<takes / TAKES, 192>>>(__VA_ARGS__); break;                                                                        \
  case 80: kernel<80><<<takes / TAKES, 240>>>(__VA_ARGS__); break;                                                                        \
  case 96: kernel<96><<<takes / TAKES, 288>>>(__VA_ARGS__); break;                                                                        \
  default: return -1;                                                                                                                     \
  }                                                                                                                                       \
  return (int)cudaGetLastError()

extern "C" int
unit_forward(const int units, const float* x, const float* weights, const float* bias, const int ticks, const int takes, float* memory, float* kept)
{
  LAUNCH(forward, x, weights, bias, ticks, takes, memory, kept);
}

extern "C" int
unit_backward(const int units, const float* weights, const float* memory, const float* kept, const float* above, const int ticks,
              const int takes, float* dx, float* d_past)
{
  LAUNCH(backward, weights, memory, kept, above, ticks, takes, dx, d_past);
}
#endif
