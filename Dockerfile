# The worker: Node, ffmpeg and goodgate. Redis runs beside it (docker-compose.yml).
# An image by digest, node:22-bookworm-slim@sha256:..., is the same one every time: docs/containers.md.
ARG NODE_IMAGE=node:22-bookworm-slim

FROM ${NODE_IMAGE} AS build
WORKDIR /app
COPY package.json package-lock.json ./
RUN npm ci --no-audit --no-fund
COPY . .
RUN npm run build && npm prune --omit=dev

FROM ${NODE_IMAGE}
ENV NODE_ENV=production
RUN apt-get update \
 && apt-get install -y --no-install-recommends ffmpeg fonts-dejavu-core \
 && rm -rf /var/lib/apt/lists/*
WORKDIR /app
COPY --from=build /app/package.json ./
COPY --from=build /app/node_modules ./node_modules
COPY --from=build /app/dist ./dist
RUN chmod 755 dist/cli/main.js && ln -s /app/dist/cli/main.js /usr/local/bin/goodgate
# Outputs belong to whoever runs the container: start it with --user where files must not be root's.
USER node
STOPSIGNAL SIGTERM
ENTRYPOINT ["node", "/app/dist/cli/main.js"]
CMD ["work", "--root", "/media", "--listen", "127.0.0.1:9464"]
